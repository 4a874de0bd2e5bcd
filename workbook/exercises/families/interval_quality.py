"""Interval quality: number and quality of intervals above the tonic, or between any two notes.

With two staves, each has intervals of its own.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import INTERVAL
from workbook.exercises.blanks import give, text_blanks
from workbook.exercises.dyads import QUALITIES, dyads
from workbook.exercises.family import Family
from workbook.exercises.interval_names import answers
from workbook.exercises.model import SIDES, Blank, Exercise, Request
from workbook.exercises.registers import fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.staves import bar_lines, printed_staves

COLUMNS = 6
_TASKS = {
    "natural": "Write the quality and number of each interval, such as M3, m6 or P5.",
    "all": "Write the quality and number of each interval, such as M3, m6, P5, A4 or d5.",
}


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    tonic = settings["from"] == "tonic"
    qualities = settings["qualities"]
    printed = settings["signature"] == "printed"
    chosen = {
        side: dyads(request.key, COLUMNS, qualities, False, rng, tonic)
        for side in SIDES[request.hand]
    }
    sides = fit_columns(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    blanks: list[Blank] = []
    for side, row in chosen.items():
        texts = [answers(dyad.interval, True) for dyad in row]
        blanks += text_blanks(
            "interval",
            side,
            [answer for answer, _ in texts],
            sides[side],
            [also for _, also in texts],
        )
    name = wording.label if printed or tonic else wording.heading
    return Exercise(
        request.key,
        request.hand,
        _TASKS[qualities],
        name(request, "intervals above the tonic" if tonic else "intervals", by="clef"),
        printed_staves(sides, "1", bar_lines(COLUMNS)),
        give(blanks, request.given, rng),
        signed=printed,
    )


FAMILY = Family(
    name="interval-quality",
    title="Interval quality",
    kinds=(INTERVAL,),
    settings={
        "from": Setting(("any", "tonic"), "any", skill=True, about="the lower note"),
        "qualities": QUALITIES,
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
)
