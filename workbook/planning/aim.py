"""What to set next: which skills in which keys, and why.

In: estimates, what was wrong last time, the weeks until the exam. Out: cells with reasons, in
the order of the sheet.

1. What was wrong last time comes again, worst first, in at most ``CORRECTIONS`` of the sheet.
2. What was never met comes at the pace that still reaches the exam, in the order of ``cells``.
3. The rest goes to the lowest low ends of the bands, met or not, but not to what was set last
   week. Of a cell never met, little is known, so its band reaches low. Before the first mark,
   one skill in each of the last keys tells most of what a student can do.

The pace has the right of way: if every exercise is needed for cells never met, there is
nothing else. If they cannot all be met any more, corrections have their share again, and every
key comes in turn (see ``pace``). ``tests/simulation`` compares these rules with others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import cycle, islice

from workbook.estimates.results import Cell, Estimate, Estimates
from workbook.planning.pace import all_fit, in_turn, new_this_week

CORRECTIONS = 0.5
"""The largest share of a sheet that is given to corrections."""


class Why(StrEnum):
    """Why a cell is set, in the order of the sheet."""

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
    cells never met and the weeks until the exam, or None (NEW), ``estimate`` what is believed
    about the cell (WEAK). ``again`` marks a cell that was also set last week, because nothing else
    was left.
    """

    why: Why
    right: int = 0
    boxes: int = 0
    unmet: int = 0
    weeks: int | None = None
    estimate: Estimate | None = None
    again: bool = False

    def sentence(self, keys: str = "", pace: bool = True) -> str:
        """The reason in the teacher's words, with the names of the keys that it holds for.

        Without ``pace``, what is still to meet is left out.
        """
        where = f" in {keys}" if keys else ""
        if self.why is Why.WRONG:
            return f"{self.right} of {self.boxes} right last time{where}."
        if self.why is Why.NEW:
            return self._new(where, pace)
        return self._weak(where)

    def _new(self, where: str, pace: bool) -> str:
        if self.again:
            return f"Set last week and not marked yet{where}; nothing else is left."
        if self.weeks is None or not pace:
            return f"Not met yet{where}."
        left = f"{self.unmet} skills in keys" if self.unmet > 1 else "1 skill in a key"
        weeks = f"{self.weeks} weeks" if self.weeks > 1 else "1 week"
        return f"Not met yet{where}; {left} to meet in {weeks}."

    def _weak(self, where: str) -> str:
        one = self.estimate
        if one is None or not one.enough:
            found = f"Too few marks so far{where} ({one.marks if one else 0})."
        else:
            low, high = round(100 * one.low), round(100 * one.high)
            found = f"Among the weakest{where}; {low} to {high} of 100 boxes would be right."
        return f"{found} Also set last week; nothing else is left." if self.again else found


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
    """The cells of the next sheet, as many as ``exercises``; see ``Aiming``."""
    found = Estimates.of(list(dict.fromkeys(cells)), estimates)
    return Aiming(found, weeks, wrong, recent).sheet(exercises)


class Aiming:
    """What a student should do next, for sheets of any length.

    ``estimates`` are those of the cells of the student's level, each once, in the order of the
    teacher's keys; ``weeks`` the lesson weeks until the exam, this one included, or None if there
    is no exam. ``recent`` are the cells set last week, marked or not. Raises ValueError if there
    are no cells.
    """

    def __init__(
        self,
        estimates: Estimates,
        weeks: int | None,
        wrong: Sequence[Mistake] = (),
        recent: Collection[Cell] = (),
    ):
        if not estimates.cells:
            raise ValueError("there must be cells to set")
        self._estimates, self._cells, self._weeks = estimates, estimates.cells, weeks
        self._places = {cell: place for place, cell in enumerate(self._cells)}
        self._last = {self._places[cell] for cell in recent if cell in self._places}
        mistakes = [one for one in wrong if one.cell in self._places and one.right < one.boxes]
        self._wrong = sorted(mistakes, key=lambda one: one.right / one.boxes)
        self._unmet = [place for place, marks in enumerate(estimates.marks) if not marks]
        # what is set but not marked yet waits for its marks, unless this is the last chance
        self._owed = [place for place in self._unmet if place not in self._last or weeks == 1]
        if len(self._unmet) == len(self._cells):
            weakest = self._turned(range(len(self._cells))[::-1])
        else:
            weakest = sorted(range(len(self._cells)), key=estimates.lows.__getitem__)
        self._weakest = sorted(weakest, key=self._last.__contains__)

    def sheet(self, exercises: int) -> list[Aim]:
        """The cells of a sheet: corrections, new ones, weak ones.

        A cell occurs twice only if there are fewer cells than ``exercises``. Raises ValueError if
        that is negative, or if the weeks are less than 1.
        """
        if exercises < 0:
            raise ValueError("there is no negative number of exercises")
        pace = new_this_week(len(self._owed), self._weeks, exercises)
        fits = all_fit(len(self._owed), self._weeks, exercises)
        room = min(int(exercises * CORRECTIONS), exercises - pace if fits else exercises)
        reasons = self._corrections(room)
        owed = (one for one in (self._owed if fits else self._in_turn) if one not in reasons)
        chosen = [*reasons, *islice(owed, min(pace, exercises - len(reasons)))]
        taken = set(chosen)
        others = (place for place in self._weakest if place not in taken)
        chosen += islice(others, exercises - len(chosen))
        rest = [(place, self._reason(place)) for place in chosen[len(reasons) :]]
        new = sorted(place for place, one in rest if one.why is Why.NEW)
        told = reasons | dict(rest)
        weak = [place for place, one in rest if one.why is Why.WEAK]
        found = [Aim(self._cells[place], told[place]) for place in (*reasons, *new, *weak)]
        return found + list(islice(cycle(found), exercises - len(found)))

    @cached_property
    def _in_turn(self) -> list[int]:
        owed = set(self._owed)
        return [place for place in self._turned(range(len(self._cells))) if place in owed]

    def _turned(self, places: Iterable[int]) -> list[int]:
        """The cells at ``places``, with every key in turn."""
        return [self._places[cell] for cell in in_turn(self._cells[place] for place in places)]

    def _reason(self, place: int) -> Reason:
        again, one = place in self._last, self._estimates.at(place)
        if one.marks:
            return Reason(Why.WEAK, estimate=one, again=again)
        return Reason(Why.NEW, unmet=len(self._unmet), weeks=self._weeks, again=again)

    def _corrections(self, room: int) -> dict[int, Reason]:
        """The cells in which something was wrong, lowest share of right boxes first."""
        found: dict[int, Reason] = {}
        for one in self._wrong:
            if len(found) < room:
                reason = Reason(Why.WRONG, one.right, one.boxes)
                found.setdefault(self._places[one.cell], reason)
        return found
