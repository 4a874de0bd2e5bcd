"""Interval quality: number and quality of intervals above the tonic, or between any two notes.

With two staves each has intervals of its own.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import clefs, common
from workbook.exercises.dyads import QUALITIES, dyads
from workbook.exercises.interval_names import answers
from workbook.exercises.model import SIDES, Exercise, Family, Request, give

COLUMNS = 6
_TASKS = {
    "natural": "Write the quality and number of each interval, such as M3, m6 or P5.",
    "all": "Write the quality and number of each interval, such as M3, m6, P5, A4 or d5.",
}


def make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    tonic = settings.get("from", "any") == "tonic"
    qualities = settings.get("qualities", "natural")
    printed = settings.get("signature", "accidentals") == "printed"
    chosen = {
        side: dyads(request.key, COLUMNS, qualities, False, rng, tonic)
        for side in SIDES[request.hand]
    }
    sides = clefs.settle(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    blanks = []
    for side, row in chosen.items():
        texts = [answers(dyad.interval, True) for dyad in row]
        blanks += common.texts(
            "interval",
            side,
            [answer for answer, _ in texts],
            sides[side],
            [also for _, also in texts],
        )
    name = common.label if printed or tonic else common.heading
    return Exercise(
        "interval-quality",
        request.key,
        request.hand,
        _TASKS[qualities],
        name(request, "intervals above the tonic" if tonic else "intervals", by="clef"),
        common.staves(sides, "1", clefs.bars(COLUMNS)),
        give(tuple(blanks), request.given, rng),
        signed=printed,
    )


FAMILY = Family(
    "interval-quality",
    "Interval quality",
    ("interval",),
    {"from": ("any", "tonic"), "qualities": QUALITIES, "signature": clefs.SIGNATURES},
    make,
    by="clef",
)
