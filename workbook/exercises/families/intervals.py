"""Intervals above the tonic, second to octave, in any order.

In minor keys the seventh degree is raised, as in the chords (harmonic form).
With two staves each has its own order and its own boxes.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.interval_names import answers
from workbook.exercises.model import SIDES, Blank, Exercise, Family, Request, give
from workbook.music.pitch import interval_name
from workbook.music.scales import ascending


def make(request: Request, rng: Random) -> Exercise:
    quality = request.settings.get("quality", False)
    form = "harmonic" if request.key.minor else "major"
    sides: dict[str, common.Columns] = {}
    blanks: list[Blank] = []
    orders = {side: rng.sample(range(1, 8), 7) for side in SIDES[request.hand]}

    def music(at: int) -> common.Columns:
        run = ascending(request.key, form, at)
        return [(run[0], run[degree]) for degree in range(1, 8)]

    for side, columns in common.place(request, music, rng).items():
        sides[side] = [columns[degree - 1] for degree in orders[side]]
        for column, notes in enumerate(sides[side]):
            answer, also = answers(interval_name(*notes), quality)
            blanks.append(Blank("interval", side, column, None, notes, answer, also))
    task = common.task(("quality" if quality else "interval",))
    return Exercise(
        "intervals",
        request.key,
        request.hand,
        task,
        common.label(request),
        common.staves(sides, "1", {**dict.fromkeys(range(6), "|"), 6: "|."}),
        give(tuple(blanks), request.given, rng),
    )


FAMILY = Family(
    "intervals", "Intervals above the tonic", ("interval",), {"quality": (False, True)}, make
)
