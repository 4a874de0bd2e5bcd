"""Five-finger patterns: the first five degrees up and down, a box for each finger.

In steps, or in skips that turn back by a step: C E D F E G F D C. Going down first, the pattern
stands on its head: G E F D E C D F G.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import finger_blanks, give
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import printed_staves
from workbook.music.scales import ascending

_PATTERNS = {"steps": (0, 1, 2, 3, 4, 3, 2, 1, 0), "skips": (0, 2, 1, 3, 2, 4, 3, 1, 0)}
"""The notes of each pattern as places among the five, from the lowest: common practice, no
source."""
_OUTER = 4


def _make(request: Request, rng: Random) -> Exercise:
    form = "natural" if request.key.minor else "major"
    pattern, down = request.settings["pattern"], request.settings["direction"] == "down"
    places = [_OUTER - place if down else place for place in _PATTERNS[pattern]]

    def music(at: int) -> Columns:
        five = ascending(request.key, form, at)[:5]
        return [(five[place],) for place in places]

    sides = fit_register(request, music, rng)
    fingers = {side: request.fingering.five_finger(side) for side in sides}
    blanks = tuple(
        blank
        for side, columns in sides.items()
        for blank in finger_blanks(side, columns, [(fingers[side][place],) for place in places])
    )
    return Exercise(
        request.key,
        request.hand,
        wording.task([FINGER]),
        wording.label(
            request,
            "in skips" if pattern == "skips" else "",
            "down and up" if down else "",
        ),
        printed_staves(sides, "4", {_PATTERNS[pattern].index(_OUTER): "|", 8: "|."}),
        give(blanks, request.given, rng),
    )


FAMILY = Family(
    name="five-finger",
    title="Five-finger patterns",
    kinds=(FINGER,),
    settings={
        "pattern": Setting(
            tuple(_PATTERNS), "steps", about="`skips` goes on by a skip and back by a step"
        ),
        "direction": Setting(("up", "down"), "up", about="the way that comes first"),
    },
    maker=_make,
)
