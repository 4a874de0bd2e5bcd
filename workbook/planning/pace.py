"""The pace until the exam: what is new in which week, and what no longer fits.

In: cells never met, in the order of the teacher's keys, weeks and exercises. Out: a forecast,
made from the record each time, so a missed sheet moves everything after it.

While all cells fit, they come key by key. If they do not, every key comes in turn, so that each
is met at least in part.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import zip_longest
from math import ceil

from workbook.estimates.results import Cell

WITHOUT_EXAM = 1 / 3
"""The share of a sheet that is new where no exam sets the pace."""


def new_this_week(unmet: int, weeks: int | None, exercises: int) -> int:
    """How many of a sheet's exercises must be new for all ``unmet`` cells to be met in time.

    ``weeks`` counts this one; None means that there is no exam. Raises ValueError if it is
    less than 1.
    """
    if weeks is None:
        return min(unmet, ceil(exercises * WITHOUT_EXAM))
    if weeks < 1:
        raise ValueError("the exam is over: no week is left")
    return min(ceil(unmet / weeks), exercises)


def all_fit(unmet: int, weeks: int | None, exercises: int) -> bool:
    """Whether ``unmet`` cells can be met in time; without an exam there is enough time."""
    return weeks is None or unmet <= weeks * exercises


def in_turn(level: Iterable[Cell]) -> list[Cell]:
    """The cells of a level with every key in turn, each time with its next skill.

    Neighbouring keys begin with different skills, so a sheet has several of them.
    """
    by_key: dict[str, list[Cell]] = {}
    for cell in level:
        by_key.setdefault(cell.key, []).append(cell)
    turned = [
        cells[place % len(cells) :] + cells[: place % len(cells)]
        for place, cells in enumerate(by_key.values())
    ]
    return [cell for together in zip_longest(*turned) for cell in together if cell]


@dataclass(frozen=True)
class Forecast:
    """What is new in each week until the exam, and what is left over.

    ``weeks`` has the cells of each lesson week, this one first. ``too_many`` are the cells
    that no longer fit at ``exercises`` a week; ``needed`` a week would do for all.
    """

    weeks: tuple[tuple[Cell, ...], ...]
    too_many: tuple[Cell, ...]
    exercises: int
    needed: int

    @property
    def keys_too_many(self) -> tuple[str, ...]:
        """The keys with cells that no longer fit, in order."""
        return tuple(dict.fromkeys(cell.key for cell in self.too_many))


def forecast(
    unmet: Iterable[Cell], weeks: int, exercises: int, level: Iterable[Cell] | None = None
) -> Forecast:
    """When each cell never met will come, at ``exercises`` a week for ``weeks`` weeks.

    ``level`` has all cells, by default those never met. Raises ValueError if ``weeks`` is negative.
    """
    if weeks < 0:
        raise ValueError("there is no negative number of weeks")
    left = list(dict.fromkeys(unmet))
    too_many, plan = left[weeks * exercises :], []
    if too_many:
        wanted = set(left)
        left = [cell for cell in in_turn(level or left) if cell in wanted]
    needed = ceil(len(left) / weeks) if weeks else 0
    for week in range(weeks):
        count = new_this_week(len(left), weeks - week, exercises)
        plan.append(tuple(left[:count]))
        left = left[count:]
    return Forecast(tuple(plan), tuple(too_many), exercises, needed)
