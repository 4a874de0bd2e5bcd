"""Scale steps: whole or half step between each two neighbouring notes of a scale.

A box stands between two notes. The step of three half steps of the harmonic minor
scale is a whole and a half step: ``W+H``.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import SIDES, Blank, Exercise, Family, Request, give
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


def make(request: Request, rng: Random) -> Exercise:
    key, settings, naming = request.key, request.settings, request.naming
    form, start = common.form(request), settings.get("start", 1)
    down = settings.get("direction", "up") == "down"
    run = scales.from_degree_down if down else scales.from_degree

    def music(at: int) -> common.Columns:
        return [(p,) for p in run(key, form, start, at)]

    sides: dict[str, common.Columns] = {}
    for side, notes in common.place(request, music, rng).items():
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
        "scale-steps",
        key,
        request.hand,
        _task(form == "harmonic", naming),
        common.label(
            request, "going down" if down else "", common.start_words(start), by="clef", form=form
        ),
        common.staves(sides, "1", {14: "|."}, request.ledger_lines),
        give(tuple(blanks), request.given, rng),
        signed=settings.get("signature") != "accidentals",
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


FAMILY = Family(
    "scale-steps",
    "Whole and half steps",
    ("step",),
    {
        "forms": ("major", *scales.MINOR_FORMS),
        "direction": ("up", "down"),
        "signature": ("printed", "accidentals"),
        "start": (1, 2, 3, 4, 5, 6, 7),
    },
    make,
    by="clef",
)
