"""How high the rows of a section will be, before they are engraved, and which may come first.

In: a section, its paper, the hand and the most columns. Out: points, as
``engraving.expected`` has them.
"""

from __future__ import annotations

from collections.abc import Sequence

from workbook import design
from workbook.design import HANDS
from workbook.engraving.expected import BETWEEN
from workbook.engraving.frame import lines
from workbook.pages.columns import column_counts, frames_of
from workbook.pages.item import expected
from workbook.pages.paper import Paper
from workbook.pages.section import head_height, rows
from workbook.planning.plan import Item, PlannedSection

_SURELY = 1.03
"""By how many times rows that are moved together may be higher than expected (measured)."""


class ExpectedRows:
    """The rows of a section on this paper, for the hand ``size``, in ``most`` columns at most.

    ``every`` are all rows in their order; ``fixed`` is that of its example.
    """

    def __init__(self, section: PlannedSection, paper: Paper, size: str, most: int):
        self._section, self._paper, self._size = section, paper, size
        self._counts = column_counts(section, paper, size, most)
        self._frames = frames_of(section, paper, size, most)
        self._task = section.items[0].exercise.task
        self._heights: dict[int, float] = {}
        self.every = rows(section, self._counts)
        self.fixed = self.every[:1] if section.example else []

    @property
    def head(self) -> float:
        """How high the heading and the task are."""
        return head_height(self._section, self._paper, self._size)

    def height(self, row: Sequence[Item]) -> float:
        """What a row takes below the one above it."""
        first = row[0].number
        if first not in self._heights:
            self._heights[first] = design.ABOVE_ITEM + max(map(self._expected, row))
        return self._heights[first]

    def _expected(self, item: Item) -> float:
        width = self._paper.column_of(self._counts[item.number])
        return expected(item, self._task, self._frames[item.number], width)

    def shrink(self, row: Sequence[Item]) -> float:
        """By how much a row, and the heading above it, may be moved together."""
        between = BETWEEN * HANDS[self._size].space - self._paper.closest
        most = min(max(between, 0.0), design.LINE_SHRINK)
        return design.SECTION_SHRINK + most * len(self._ends(row[0]))

    def is_long(self, row: Sequence[Item]) -> bool:
        """Whether a row is an exercise in several lines of music, which may go overleaf."""
        return bool(self._ends(row[0]))

    def _ends(self, item: Item) -> tuple[int, ...]:
        """Where the lines of music of an item end, but for the last."""
        return lines(item.exercise, self._frames[item.number]) if item.exercise.staves else ()

    def may_come_first(self, row: Sequence[Item]) -> bool:
        """Whether a row may move to the head of its section: if it is full, and its task that of
        the section.
        """
        full = len(row) == self._counts[row[0].number]
        return full and all(item.exercise.task == self._task for item in row)

    def least(self) -> float:
        """The least room in which the section surely can begin: that of its heading, its task,
        and the example or the least high of the rows that may come first, moved together.
        """
        first, *others = self.every
        may = [first, *([] if self.fixed else filter(self.may_come_first, others))]
        return _SURELY * (self.head + min(self.height(row) - self.shrink(row) for row in may))
