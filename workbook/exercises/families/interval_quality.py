"""Interval quality: number and quality of intervals above the tonic, or between any two notes.

They sound together (harmonic) or one after the other, up or down (melodic), above the tonic
always up. With two staves, each has intervals of its own.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import INTERVAL
from workbook.exercises.blanks import give
from workbook.exercises.dyads import COMPOUND, QUALITIES, SIZE, dyads, melodic
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
    qualities, size = settings["qualities"], settings["size"]
    one_by_one = settings["notes"] == "melodic"
    printed = settings["signature"] == "printed"
    chosen = {
        side: dyads(request.key, COLUMNS, qualities, False, rng, tonic, size)
        for side in SIDES[request.hand]
    }
    sides = fit_columns(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    blanks: list[Blank] = []
    staves = printed_staves(sides, "1", bar_lines(COLUMNS))
    if one_by_one:
        staves = tuple(
            melodic(side, columns, [not tonic and rng.random() < 0.5 for _ in columns])
            for side, columns in sides.items()
        )
    for side, row in chosen.items():
        for index, (dyad, notes) in enumerate(zip(row, sides[side])):
            answer, also = answers(dyad.interval, True)
            place = 2 * index + 1 if one_by_one else index
            blanks.append(Blank("interval", side, place, None, notes, answer, also))
    words = " ".join(filter(None, [size == COMPOUND and size, one_by_one and "melodic"]))
    name = wording.label if printed or tonic else wording.heading
    return Exercise(
        request.key,
        request.hand,
        _TASKS[qualities],
        name(request, f"{words} intervals{' above the tonic' * tonic}".strip(), by="clef"),
        staves,
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
        "notes": Setting(
            ("harmonic", "melodic"),
            "harmonic",
            skill=True,
            about="`melodic` is one note after the other, `harmonic` both at once",
        ),
        "size": SIZE,
    },
    maker=_make,
    by="clef",
    apart=True,
)
