"""Scale steps: whole or half step between neighbouring notes of a scale.

A box stands between two notes. The step of three half steps in the harmonic minor scale
is a whole and a half step: ``W+H``.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import SCALE_FORM, SIGNATURE, START_DEGREE, Setting
from workbook.exercises.staves import printed_staves
from workbook.music import scales
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, semitone

_NONE: tuple[Pitch, ...] = ()


def answer(half_steps: int, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """How a step of 1, 2 or 3 half steps is written, and what else is accepted."""
    whole, half = naming.whole_letter, naming.half_letter
    return {
        1: (half, (naming.half_step, "½")),
        2: (whole, (naming.whole_step, "1")),
        3: (f"{whole}+{half}", (f"{half}+{whole}", f"{whole}{half}", "A2", "1½", f"3{half}")),
    }[half_steps]


def _make(request: Request, rng: Random) -> Exercise:
    key, settings, naming = request.key, request.settings, request.naming
    form, start = request.settings["forms"], settings["start"]
    down = settings["direction"] == "down"
    run = scales.from_degree_down if down else scales.from_degree

    def music(at: int) -> Columns:
        return [(p,) for p in run(key, form, start, at)]

    sides: dict[str, Columns] = {}
    for side, notes in fit_register(request, music, rng).items():
        sides[side] = notes[:1]
        for note in notes[1:]:
            sides[side] += [_NONE, note]
    # hands together have the same steps: the boxes stand once, below
    side = SIDES[request.hand][-1]
    blanks = []
    for column in range(1, 15, 2):
        (low,), (high,) = sides[side][column - 1], sides[side][column + 1]
        text, also = answer(abs(semitone(high) - semitone(low)), naming)
        blanks.append(Blank("step", side, column, None, (low, high), text, also))
    return Exercise(
        key,
        request.hand,
        _task(form == "harmonic", naming),
        wording.label(
            request, "going down" if down else "", wording.from_degree(start), by="clef", form=form
        ),
        printed_staves(sides, "1", {14: "|."}),
        give(blanks, request.given, rng),
        signed=settings["signature"] != "accidentals",
    )


def _task(three: bool, naming: Naming) -> str:
    more = (
        f", {naming.whole_letter}+{naming.half_letter} for three {naming.half_step}s"
        if three
        else ""
    )
    return (
        f"Write {naming.whole_letter} for a {naming.whole_step}, {naming.half_letter} for "
        f"a {naming.half_step}{more}."
    )


STEP = AnswerKind(
    "step", "W for a whole step, H for a half step", 8.0, longer=((3, 13.2),), words="letters"
)
FAMILY = Family(
    name="scale-steps",
    title="Whole and half steps",
    british="Tones and semitones",
    kinds=(STEP,),
    settings={
        "forms": SCALE_FORM,
        "direction": Setting(("up", "down"), "up"),
        "signature": replace(SIGNATURE, default="printed"),
        "start": START_DEGREE,
    },
    maker=_make,
    by="clef",
)
