"""Five-finger pattern: the first five degrees up and down, a box for each finger."""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import finger_blanks, give
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.staves import printed_staves
from workbook.music.scales import ascending


def _make(request: Request, rng: Random) -> Exercise:
    form = "natural" if request.key.minor else "major"

    def music(at: int) -> Columns:
        five = ascending(request.key, form, at)[:5]
        return [(p,) for p in five + five[-2::-1]]

    sides = fit_register(request, music, rng)
    blanks = tuple(
        blank
        for side, columns in sides.items()
        for blank in finger_blanks(
            side, columns, ((finger,) for finger in request.fingering.five_finger(side))
        )
    )
    return Exercise(
        request.key,
        request.hand,
        wording.task([FINGER]),
        wording.label(request),
        printed_staves(sides, "4", {4: "|", 8: "|."}),
        give(blanks, request.given, rng),
    )


FAMILY = Family(
    name="five-finger",
    title="Five-finger patterns",
    kinds=(FINGER,),
    settings={},
    maker=_make,
)
