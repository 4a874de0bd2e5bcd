"""Scale fingering: a scale up and down, a box for the finger at each note.

In contrary motion, for hands together and not in the melodic form, the left hand
begins an octave below the right, and goes down as that goes up, two octaves at most.
Four octaves for hands together, too tall for a page, go up only.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music import scales
from workbook.music.keys import Key
from workbook.music.register import ledger_lines

OCTAVES = ("", "", "two octaves", "three octaves", "four octaves")


def form_of(request: Request) -> str:
    """The scale's form that a request asks for, or the key's first."""
    allowed = scales.forms(request.key)
    form = request.settings.get("forms", allowed[0])
    return form if form in allowed else allowed[0]


def breaks(columns: int, line: int = 15) -> dict[int, str]:
    """What follows each column of a run up and down: one octave stands on one line with a
    bar line at the top, more of them on lines of ``line`` notes, the first one longer.
    """
    if columns <= line:
        return {columns // 2: "|", columns - 1: "|."}
    turns = range(line - 1, columns - 1, line - 1)
    return {**dict.fromkeys(turns, "break"), columns - 1: "|."}


def run(request: Request, form: str, octaves: int, at: int) -> common.Columns:
    """The scale up and down from the tonic of octave ``at``."""
    up = scales.ascending(request.key, form, at, octaves)
    return [(p,) for p in up + scales.descending(request.key, form, at, octaves)[1:]]


def _contrary(request: Request, form: str, octaves: int, rng: Random) -> dict[str, common.Columns]:
    def sides(at: int) -> dict[str, common.Columns]:
        down = scales.descending(request.key, form, at - 1 - octaves, octaves)
        return {
            "right": run(request, form, octaves, at),
            "left": [(p,) for p in down + down[-2::-1]],
        }

    def need(at: int) -> int:
        return max(ledger_lines(p, side) for side, columns in sides(at).items() for (p,) in columns)

    least = max(request.ledger_lines, min(map(need, range(3, 6))))
    return sides(rng.choice([at for at in range(3, 6) if need(at) <= least]))


def make(request: Request, rng: Random) -> Exercise:
    key, count, form = request.key, request.settings.get("octaves", 1), form_of(request)
    contrary = request.settings.get("motion") == "contrary"
    if contrary:
        sides = _contrary(request, form, count, rng)
    else:
        sides = common.place(request, lambda at: run(request, form, count, at), rng)
    up_only = request.hand == "both" and count == 4
    if up_only:
        sides = {side: columns[: 7 * count + 1] for side, columns in sides.items()}
    table = request.fingering.contrary if contrary else request.fingering.scale
    blanks = common.run_blanks(request, sides, lambda side: table(key, form, side, count))
    return Exercise(
        "scale-fingering",
        key,
        request.hand,
        common.task(("finger",)),
        common.label(
            request,
            OCTAVES[count],
            "contrary motion" if contrary else "going up" if up_only else "",
            form=form,
        ),
        common.staves(
            sides, "4", breaks(7 * count + 1 if up_only else 14 * count + 1), request.ledger_lines
        ),
        give(blanks, request.given, rng),
    )


def problem(settings: dict, key: Key, hand: str) -> str:
    """Why contrary motion does not go with the other settings, or ""."""
    if settings.get("motion") != "contrary":
        return ""
    if hand != "both":
        return 'motion "contrary" needs two hands; write hands = "both"'
    if settings.get("octaves", 1) > 2:
        return 'motion "contrary" has two octaves at most'
    if settings.get("forms") == "melodic":
        return 'motion "contrary" has no melodic form'
    return ""


FAMILY = Family(
    "scale-fingering",
    "Scale fingering",
    ("finger",),
    {
        "octaves": (1, 2, 3, 4),
        "forms": ("major", *scales.MINOR_FORMS),
        "motion": ("parallel", "contrary"),
    },
    make,
    problem=problem,
)
