"""The pace until the exam: what is new in which week, and what no longer fits.

In: cells never met, in the order of the teacher's keys, weeks and exercises. Out: a forecast,
made from the record each time, so a missed sheet moves everything after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
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

    @property
    def sentence(self) -> str:
        """What the teacher should know, or "" if all fits."""
        if not self.too_many:
            return ""
        keys = [key or "what is in no key" for key in self.keys_too_many]
        many = f"{len(keys)} keys" if len(keys) > 1 else "1 key"
        if not self.weeks:
            return f"No lesson is left for {many}: {', '.join(keys)}."
        weeks = f"{len(self.weeks)} weeks" if len(self.weeks) > 1 else "1 week"
        return (
            f"{many} too many for {weeks} at {self.exercises} exercises: "
            f"set {self.needed} exercises a week, or leave out {', '.join(keys)}."
        )


def forecast(unmet: Sequence[Cell], weeks: int, exercises: int) -> Forecast:
    """When each cell never met will come, at ``exercises`` a week for ``weeks`` weeks.

    Raises ValueError if ``weeks`` is negative.
    """
    if weeks < 0:
        raise ValueError("there is no negative number of weeks")
    left, plan = list(dict.fromkeys(unmet)), []
    needed = ceil(len(left) / weeks) if weeks else 0
    for week in range(weeks):
        count = new_this_week(len(left), weeks - week, exercises)
        plan.append(tuple(left[:count]))
        left = left[count:]
    return Forecast(tuple(plan), tuple(left), exercises, needed)
