"""Chromatic scale: from the tonic up and down, a box for the finger at each note."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.exercises.scale_fingering import OCTAVES
from workbook.music.scales import chromatic


def make(request: Request, rng: Random) -> Exercise:
    count = request.settings.get("octaves", 1)
    sides = common.place(
        request, lambda at: [(p,) for p in chromatic(request.key, at, count)], rng)
    start = request.key.tonic_in(4)
    blanks = common.run_blanks(
        request, sides, lambda side: request.fingering.chromatic(start, side, count))
    top = 12 * count
    bars = {turn: "break" for turn in range(12, 2 * top, 12)} | {2 * top: "|."}
    return Exercise(
        "chromatic-scale", request.key, request.hand, common.task(("finger",)),
        common.label(request, "chromatic", OCTAVES[count]),
        common.staves(sides, "4", bars, request.ledger_lines),
        give(blanks, request.given, rng))


FAMILY = Family("chromatic-scale", "Chromatic scale", ("finger",), {"octaves": (1, 2)}, make)
