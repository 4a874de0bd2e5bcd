"""What to set next: which skills in which keys, and why.

In: estimates, what was wrong last time, what is left until the exam. Out: cells with reasons,
in the order of the sheet. Three rules share the room, and each takes its place in turn:

1. what was wrong last time comes again, worst first, in at most ``CORRECTIONS`` of the sheet;
2. what was never met comes at the pace that still reaches the exam, in the order of ``cells``;
3. the rest goes to the lowest low ends of the bands, not to what was met last week.

The pace comes before everything: if every exercise is needed for cells never met, there is
nothing else. See ``pace`` for the weeks until the exam.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, cycle, islice

from workbook.estimates.results import Cell, Estimate
from workbook.planning.pace import new_this_week

CORRECTIONS = 0.5
"""The largest share of a sheet that is given to corrections."""


class Why(StrEnum):
    """Why a cell is set."""

    WRONG = "wrong"
    NEW = "new"
    WEAK = "weak"


@dataclass(frozen=True)
class Mistake:
    """A cell of the last sheet in which not all was right: ``right`` of ``boxes``."""

    cell: Cell
    right: int
    boxes: int


@dataclass(frozen=True)
class Reason:
    """Why a cell is set, as data.

    ``right`` and ``boxes`` are those of the last sheet (WRONG), ``unmet`` and ``weeks`` the
    cells never met and the weeks until the exam, or None (NEW), ``estimate`` what is
    believed of the cell (WEAK). ``again`` marks a cell that was met last week because nothing
    else was left.
    """

    why: Why
    right: int = 0
    boxes: int = 0
    unmet: int = 0
    weeks: int | None = None
    estimate: Estimate | None = None
    again: bool = False

    @property
    def sentence(self) -> str:
        """The reason in the teacher's words."""
        if self.why is Why.WRONG:
            return f"{self.right} of {self.boxes} right last time."
        if self.why is Why.NEW:
            return self._new()
        return self._weak()

    def _new(self) -> str:
        if self.weeks is None:
            return "Not met yet."
        left = f"{self.unmet} skills in keys" if self.unmet > 1 else "1 skill in a key"
        weeks = f"{self.weeks} weeks" if self.weeks > 1 else "1 week"
        return f"Not met yet: {left} to meet in {weeks}."

    def _weak(self) -> str:
        if self.estimate is None or not self.estimate.enough:
            found = f"Not enough marks yet to call it safe: {self.estimate.marks}."
        else:
            low, high = (round(100 * end) for end in (self.estimate.low, self.estimate.high))
            found = f"Among the weakest: {low} to {high} of 100 boxes would be right."
        return f"{found} Met last week too, since nothing else is left." if self.again else found


@dataclass(frozen=True)
class Aim:
    """A cell to set, with its reason."""

    cell: Cell
    reason: Reason


def aim(
    cells: Sequence[Cell],
    estimates: Mapping[Cell, Estimate],
    exercises: int,
    weeks: int | None,
    wrong: Sequence[Mistake] = (),
    recent: Collection[Cell] = (),
) -> list[Aim]:
    """The cells of the next sheet: as many as ``exercises``, corrections first.

    ``cells`` are those of the student's level, in the order of the teacher's keys;
    ``weeks`` the lesson weeks until the exam, this one included, or None if there is no
    exam. ``recent`` are the cells set last week, marked or not. A cell comes twice only if
    there are fewer cells than exercises. Raises ValueError if there are no cells, if
    ``exercises`` is negative or ``weeks`` less than 1.
    """
    if not cells or exercises < 0:
        raise ValueError("there must be cells to set, and no negative number of exercises")
    known, last = dict.fromkeys(cells), set(recent)
    met = [cell for cell in known if cell in estimates and estimates[cell].marks]
    unmet = [cell for cell in known if cell not in set(met)]
    unmet.sort(key=lambda cell: cell in last)
    pace = new_this_week(len(unmet), weeks, exercises)
    corrections = _corrections(wrong, known, exercises, pace)
    chosen = {one.cell for one in corrections}
    fresh = [
        Aim(cell, Reason(Why.NEW, unmet=len(unmet), weeks=weeks))
        for cell in unmet
        if cell not in chosen
    ]
    weak = [
        Aim(cell, Reason(Why.WEAK, estimate=estimates[cell], again=cell in last))
        for cell in sorted(met, key=lambda cell: (cell in last, estimates[cell].low))
        if cell not in chosen
    ]
    rested = [one for one in weak if not one.reason.again]
    tired = [one for one in weak if one.reason.again]
    first = [*corrections, *fresh[:pace]]
    rest = chain(rested, fresh[pace:], tired)
    found = list(islice(chain(first, rest), exercises))
    return found + _round_again(found, estimates, exercises)


def _corrections(
    wrong: Sequence[Mistake], known: Collection[Cell], exercises: int, pace: int
) -> list[Aim]:
    """What was wrong, the lowest share of right boxes first, as far as there is room."""
    room = min(int(exercises * CORRECTIONS), exercises - pace)
    ordered = sorted(wrong, key=lambda one: one.right / one.boxes)
    found = {
        one.cell: Aim(one.cell, Reason(Why.WRONG, one.right, one.boxes))
        for one in reversed(ordered)
        if one.cell in known and one.right < one.boxes
    }
    return list(reversed(found.values()))[:room]


def _round_again(
    found: Sequence[Aim], estimates: Mapping[Cell, Estimate], exercises: int
) -> list[Aim]:
    """More of the same where there are fewer cells than exercises."""
    if not found:
        return []
    return list(islice(cycle(found), exercises - len(found)))
