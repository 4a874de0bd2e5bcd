"""Thumb crossings: where in a scale the thumb passes under or a finger passes over.

There is a box at every note but the first: 1 for the thumb, the number of the finger that
passes over, or a dash where neither does. The fingering decides which finger that is: mostly 3
or 4; 2 at the end of some runs.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.scale_runs import FORMS, run
from workbook.exercises.staves import printed_staves, run_bar_lines
from workbook.exercises.telling import Played
from workbook.fingering.reasons import crossings

NONE = "–"
_TASK = (
    "In each box write 1 if the thumb passes under to this note, the finger’s number if a "
    "finger passes over to it, and a dash (–) if neither does."
)


def answers(request: Request, form: str, side: str, columns: Columns) -> list[list[str]]:
    """The crossings at each note but the first, for each accepted fingering, first choice first."""
    notes = [p for (p,) in columns]
    versions = zip(
        *(finger.versions for finger in request.fingering.scale(request.key, form, side))
    )
    return [
        [finger or NONE for finger in crossings(notes, version, side)[1:]] for version in versions
    ]


def _make(request: Request, rng: Random) -> Exercise:
    form = request.settings["forms"]
    sides = fit_register(request, lambda at: run(request, form, 1, at), rng)
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
        request.key,
        request.hand,
        _TASK,
        wording.label(request, form=form),
        printed_staves(sides, "4", run_bar_lines(15)),
        give(blanks, request.given, rng),
    )


CROSS = AnswerKind(
    "cross",
    "the thumb or finger that crosses",
    8.0,
    row="next",
    telling=Played(),
    played=True,
    called="Thumb crossing",
)
FAMILY = Family(
    name="thumb-crossings",
    title="Thumb crossings",
    kinds=(CROSS,),
    settings={
        "forms": FORMS,
    },
    maker=_make,
)
