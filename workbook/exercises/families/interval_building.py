"""Interval building: write the note that lies a given interval above or below a printed one.

The printed notes are of the key, and the written ones, too, where the interval lets
them be. With two staves each has intervals of its own.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import clefs, common
from workbook.exercises.dyads import QUALITIES, Dyad, dyads
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Family, Request, Staff
from workbook.music.register import CLEFS

MEASURES = 4


def make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    signature = settings.get("signature", "accidentals")
    direction = settings.get("direction", "above")
    chosen = {
        side: dyads(
            request.key, MEASURES, settings.get("qualities", "natural"), direction == "below", rng
        )
        for side in SIDES[request.hand]
    }
    sides = clefs.settle(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    given = rng.sample(range(MEASURES), min(request.given, MEASURES - 1))
    staves = tuple(
        _staff(side, columns, direction == "below", given) for side, columns in sides.items()
    )
    labels = [label for side, row in chosen.items() for label in _labels(side, row, sides[side])]
    name = common.label if signature == "printed" else common.heading
    return Exercise(
        "interval-building",
        request.key,
        request.hand,
        f"Next to each note, write the note that lies the given interval "
        f"{direction} it. {clefs.signs_task(signature)}",
        name(request, f"intervals {direction}", by="clef"),
        staves,
        (*labels, *common.note_blanks(staves, request.naming)),
        signed=signature == "printed",
    )


def _staff(side: str, columns: common.Columns, below: bool, given: list[int]) -> Staff:
    """The printed note and the written one beside it, in a measure of their own."""
    events = []
    for measure, notes in enumerate(columns):
        base, other = notes[::-1] if below else notes
        events += [
            Event((base,), CLEFS[side], "1"),
            Event(
                (other,),
                CLEFS[side],
                "1",
                "|." if measure == MEASURES - 1 else "|",
                () if measure in given else (other,),
            ),
        ]
    return Staff(side, tuple(events))


def _labels(side: str, row: list[Dyad], columns: common.Columns) -> list[Blank]:
    """The name of each interval, printed at the place of the written note."""
    return [
        Blank("interval", side, 2 * measure + 1, None, notes, dyad.interval, given=True)
        for measure, (dyad, notes) in enumerate(zip(row, columns))
    ]


FAMILY = Family(
    "interval-building",
    "Interval building",
    ("notes",),
    {"direction": ("above", "below"), "qualities": QUALITIES, "signature": clefs.SIGNATURES},
    make,
    by="clef",
)
