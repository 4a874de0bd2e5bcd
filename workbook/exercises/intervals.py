"""Intervals above the tonic, second to octave, in any order.

In minor keys the seventh degree is raised, as in the chords (harmonic form).
With two staves each has its own order and its own boxes.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import SIDES, Blank, Exercise, Family, Request, give
from workbook.music.pitch import interval_name
from workbook.music.scales import ascending

_ORDINAL = {"2": "2nd", "3": "3rd", "4": "4th", "5": "5th", "6": "6th", "7": "7th", "8": "8ve"}
_QUALITY = {"M": ("maj ", "major "), "m": ("min ", "minor "), "P": ("perf ", "perfect ")}


def answers(name: str, quality: bool) -> tuple[str, tuple[str, ...]]:
    """The answer to an interval such as ``"m6"``, and what else is accepted."""
    number, ordinal = name[1:], _ORDINAL[name[1:]]
    if not quality:
        return number, (ordinal,)
    return name, tuple(word + end for word in _QUALITY[name[0]] for end in (number, ordinal))


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
        "intervals", request.key, request.hand, task,
        common.label(request),
        common.staves(sides, "1", {**{i: "|" for i in range(6)}, 6: "|."}),
        give(tuple(blanks), request.given, rng))


FAMILY = Family("intervals", "Intervals above the tonic", ("interval",),
                {"quality": (False, True)}, make)
