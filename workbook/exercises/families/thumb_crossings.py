"""Thumb crossings: where in a scale the thumb passes under or a finger passes over.

A box at every note but the first: 1 for the thumb, the number of the finger that
crosses, a dash where none does. Which finger passes over follows the fingering: 3 or 4
by the first choice, 2 by some that are accepted.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.families.scale_fingering import breaks, form_of, run
from workbook.exercises.model import Blank, Exercise, Family, Request, give
from workbook.fingering.reasons import crossings
from workbook.music import scales

NONE = "–"
_TASK = (
    "In each box write 1 if the thumb passes under to this note, the finger’s number if a "
    "finger passes over to it, and a dash (–) if neither does."
)


def answers(request: Request, form: str, side: str, columns: common.Columns) -> list[list[str]]:
    """The crossing at each note but the first, by the first choice of fingers and by each
    other accepted fingering.
    """
    notes = [p for (p,) in columns]
    versions = zip(
        *(finger.versions for finger in request.fingering.scale(request.key, form, side))
    )
    return [
        [finger or NONE for finger in crossings(notes, version, side)[1:]] for version in versions
    ]


def make(request: Request, rng: Random) -> Exercise:
    form = form_of(request)
    sides = common.place(request, lambda at: run(request, form, 1, at), rng)
    blanks = []
    for side, columns in sides.items():
        for column, (answer, *others) in enumerate(zip(*answers(request, form, side, columns)), 1):
            also = dict.fromkeys(other for other in others if other != answer)
            if answer == NONE:
                also[""] = None  # an empty box says the same
            blanks.append(
                Blank(
                    "cross",
                    side,
                    column,
                    None,
                    columns[column],
                    answer,
                    tuple(also),
                    versions=(answer, *others),
                )
            )
    return Exercise(
        "thumb-crossings",
        request.key,
        request.hand,
        _TASK,
        common.label(request, form=form),
        common.staves(sides, "4", breaks(15), request.ledger_lines),
        give(tuple(blanks), request.given, rng),
    )


FAMILY = Family(
    "thumb-crossings",
    "Thumb crossings",
    ("cross",),
    {"forms": ("major", *scales.MINOR_FORMS)},
    make,
)
