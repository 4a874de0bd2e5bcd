"""Interval building: write the note that lies a given interval above or below a printed one.

The printed notes belong to the key, and so do the written ones where the interval lets
them. With two staves, each has intervals of its own.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import INTERVAL, NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.dyads import QUALITIES, Dyad, dyads
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.staves import to_write
from workbook.music.register import CLEFS

MEASURES = 4


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    signature = settings["signature"]
    direction = settings["direction"]
    chosen = {
        side: dyads(request.key, MEASURES, settings["qualities"], direction == "below", rng)
        for side in SIDES[request.hand]
    }
    sides = fit_columns(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    given = rng.sample(range(MEASURES), min(request.given, MEASURES - 1))
    staves = tuple(
        _staff(side, columns, direction == "below", given) for side, columns in sides.items()
    )
    labels = [label for side, row in chosen.items() for label in _labels(side, row, sides[side])]
    name = wording.label if signature == "printed" else wording.heading
    return Exercise(
        request.key,
        request.hand,
        f"Next to each note, write the note that lies the given interval "
        f"{direction} it. {wording.accidentals_task(signature, to_write(staves))}",
        name(request, f"intervals {direction}", by="clef"),
        staves,
        (*labels, *note_blanks(staves, request.naming)),
        signed=signature == "printed",
    )


def _staff(side: str, columns: Columns, below: bool, given: list[int]) -> Staff:
    """The printed note and the written one next to it, two to a measure."""
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


def _labels(side: str, row: list[Dyad], columns: Columns) -> list[Blank]:
    """The name of each interval, printed at the written note."""
    return [
        Blank("interval", side, 2 * measure + 1, None, notes, dyad.interval, given=True)
        for measure, (dyad, notes) in enumerate(zip(row, columns))
    ]


FAMILY = Family(
    name="interval-building",
    title="Interval building",
    kinds=(NOTES,),
    settings={
        "direction": Setting(("above", "below"), "above", skill=True),
        "qualities": QUALITIES,
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
    others=(INTERVAL,),
)
