"""Scale degrees: the notes of a scale out of order, to be named by number, by name, or both.

The names are common practice, no source: the seventh degree is the leading tone where it
lies a half step below the tonic, and otherwise (in natural minor) the subtonic.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import fit_register
from workbook.exercises.settings import SCALE_FORM
from workbook.exercises.staves import printed_staves
from workbook.music import scales
from workbook.music.naming import Naming
from workbook.music.pitch import semitone

NAMES = ("tonic", "supertonic", "mediant", "subdominant", "dominant", "submediant")
_WORDS = {"degree": "number (1 to 7)", "name": "name (such as tonic)"}
_A_LINE = 4
"""Boxes for names that fit one line of music."""


def name(degree: int, leads: bool, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """The name of degree 1 to 7, and others to accept.

    ``leads`` says that the seventh degree is a half step below the tonic.
    """
    if degree < 7:
        return NAMES[degree - 1], ()
    if not leads:
        return "subtonic", ()
    return naming.leading_tone, tuple({"leading tone", "leading note"} - {naming.leading_tone})


def _make(request: Request, rng: Random) -> Exercise:
    form, naming = request.settings["forms"], request.naming
    named = "name" in request.ask
    sides = fit_register(
        request, lambda at: [(p,) for p in scales.ascending(request.key, form, at)], rng
    )
    count = _A_LINE if named and len(sides) == 2 else 8
    order = rng.sample(range(8), 8)
    blanks: list[Blank] = []
    for index, (side, run) in enumerate(sides.items()):
        leads = semitone(run[7][0]) - semitone(run[6][0]) == 1
        # two staves that ask for names share the degrees between them
        mine = order[-count:] if index and count < 8 else order[:count]
        if index and count == 8:
            mine = rng.sample(mine, 8)
        sides[side] = [run[step] for step in mine]
        for column, step in enumerate(mine):
            degree = step % 7 + 1
            word, others = name(degree, leads, naming)
            blanks += [
                Blank(
                    "degree",
                    side,
                    column,
                    None,
                    run[step],
                    str(degree),
                    ("8",) if step == 7 else (),
                ),
                Blank("name", side, column, None, run[step], word, others),
            ]
    bars = {count - 1: "|."} | ({_A_LINE - 1: "break"} if named and count == 8 else {})
    things = " and ".join(words for asks, words in _WORDS.items() if asks in request.ask)
    return Exercise(
        request.key,
        request.hand,
        f"Write the {things} of each note’s scale degree.",
        wording.label(request, by="clef", form=form),
        printed_staves(sides, "1", bars),
        give(in_order(blanks, request.ask), request.given, rng),
    )


DEGREE = AnswerKind("degree", "a scale degree by number", 8.0)
NAME = AnswerKind("name", "a scale degree by name", 35.6, words="steps")
FAMILY = Family(
    name="scale-degrees",
    title="Scale degrees",
    kinds=(DEGREE, NAME),
    settings={
        "forms": SCALE_FORM,
    },
    maker=_make,
    by="clef",
    apart=True,
)
