"""Intervals above the tonic, from the second to the octave, in any order.

In minor keys the seventh degree is raised, as it is in the chords (harmonic form).
With two staves, each has its own order and its own boxes.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import INTERVAL
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.interval_names import answers
from workbook.exercises.model import SIDES, Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.pitch import interval_name
from workbook.music.scales import ascending

_WITH_QUALITY = "interval names (such as M3, P5, m6)"


def _make(request: Request, rng: Random) -> Exercise:
    quality = request.settings["quality"]
    form = "harmonic" if request.key.minor else "major"
    sides: dict[str, Columns] = {}
    blanks: list[Blank] = []
    orders = {side: rng.sample(range(1, 8), 7) for side in SIDES[request.hand]}

    def music(at: int) -> Columns:
        run = ascending(request.key, form, at)
        return [(run[0], run[degree]) for degree in range(1, 8)]

    for side, columns in fit_register(request, music, rng).items():
        sides[side] = [columns[degree - 1] for degree in orders[side]]
        for column, notes in enumerate(sides[side]):
            answer, also = answers(interval_name(*notes), quality)
            blanks.append(Blank("interval", side, column, None, notes, answer, also))
    kind = replace(INTERVAL, task=_WITH_QUALITY) if quality else INTERVAL
    return Exercise(
        request.key,
        request.hand,
        wording.task([kind]),
        wording.label(request),
        printed_staves(sides, "1", bar_lines(7)),
        give(blanks, request.given, rng),
    )


FAMILY = Family(
    name="intervals",
    title="Intervals above the tonic",
    kinds=(INTERVAL,),
    settings={
        "quality": Setting(
            (False, True),
            False,
            skill=True,
            about="whether the quality is asked for as well: M3, P5, m6",
        ),
    },
    maker=_make,
)
