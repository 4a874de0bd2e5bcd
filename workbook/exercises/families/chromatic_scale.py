"""Chromatic scale: from the tonic up and down, a box for the finger at each note.

Two octaves for hands together, too tall for a page, go up only.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.families.scale_fingering import OCTAVES, breaks
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.scales import chromatic


def make(request: Request, rng: Random) -> Exercise:
    count = request.settings.get("octaves", 1)
    up_only = request.hand == "both" and count == 2
    columns = 25 if up_only else 24 * count + 1
    sides = common.place(
        request, lambda at: [(p,) for p in chromatic(request.key, at, count)[:columns]], rng
    )
    start = request.key.tonic_in(4)
    blanks = common.run_blanks(
        request, sides, lambda side: request.fingering.chromatic(start, side, count)
    )
    return Exercise(
        "chromatic-scale",
        request.key,
        request.hand,
        common.task(("finger",)),
        common.label(request, "chromatic", OCTAVES[count], "going up" if up_only else ""),
        common.staves(sides, "4", breaks(columns, 13), request.ledger_lines),
        give(blanks, request.given, rng),
    )


FAMILY = Family("chromatic-scale", "Chromatic scale", ("finger",), {"octaves": (1, 2)}, make)
