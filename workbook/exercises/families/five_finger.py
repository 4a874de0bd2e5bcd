"""Five-finger pattern: the first five degrees up and down, a box for each finger."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.scales import ascending


def make(request: Request, rng: Random) -> Exercise:
    form = "natural" if request.key.minor else "major"

    def music(at: int) -> common.Columns:
        five = ascending(request.key, form, at)[:5]
        return [(p,) for p in five + five[-2::-1]]

    sides = common.place(request, music, rng)
    blanks = tuple(
        blank
        for side, columns in sides.items()
        for blank in common.finger_blanks(
            side, columns, ((finger,) for finger in request.fingering.five_finger(side))
        )
    )
    return Exercise(
        "five-finger",
        request.key,
        request.hand,
        common.task(("finger",)),
        common.label(request),
        common.staves(sides, "4", {4: "|", 8: "|."}),
        give(blanks, request.given, rng),
    )


FAMILY = Family("five-finger", "Five-finger patterns", ("finger",), {}, make)
