"""The order of exercises within a section: a shorter one first where a long one has no room.

In: a plan and its paper. Out: a plan whose first page does not stay half empty, and whose
exercises do not go overleaf because they do not fit below the heading of their section.
Nothing is engraved for that: heights are expected ones (see ``engraving.expected``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from workbook import design
from workbook.design import HANDS
from workbook.engraving.expected import BETWEEN
from workbook.engraving.frame import lines
from workbook.pages.columns import column_counts, frames_of, hand_of, most_columns
from workbook.pages.flow import Block, fill
from workbook.pages.opening import opening
from workbook.pages.paper import Paper
from workbook.pages.section import head_height, may_come_first, row_height, rows
from workbook.planning.dealing import key_code
from workbook.planning.plan import Item, Plan, PlannedSection

_SURELY = 1.06
"""What would fit even if it were so many times as high as expected, surely fits."""

_Row = tuple[Item, ...]


def arranged(plan: Plan, paper: Paper) -> Plan:
    """The plan, with exercises moved within their sections if need be.

    They are then numbered anew, and the plan has another key code.
    """
    size, most = hand_of(plan, paper), most_columns(plan, paper)
    page = _FirstPage(paper, plan.once(opening, paper))
    sections = [_Section(one, paper, size, most).arranged(page) for one in plan.sections]
    if all(new is old for new, old in zip(sections, plan.sections)):
        return plan
    code = key_code(plan.row, plan.seed + plan.form, tuple(sections))
    return replace(plan, sections=tuple(sections), code=code)


class _FirstPage:
    """The first page of exercises while it is filled, from the end of the opening down."""

    def __init__(self, paper: Paper, opening: Sequence[Block]):
        self.room = paper.top - paper.bottom
        self.used = sum(block.height for block in fill(opening, self.room)[-1])
        self.open = self.is_sparse
        """Whether what comes next may stand on it."""

    @property
    def is_sparse(self) -> bool:
        return self.used < design.FIRST_PAGE * self.room


class _Section:
    """A section, and what its rows are expected to take."""

    def __init__(self, section: PlannedSection, paper: Paper, size: str, most: int):
        self._section, self._paper, self._size, self._most = section, paper, size, most
        self._counts = column_counts(section, paper, size, most)
        self._frames = frames_of(section, paper, size, most)
        self._heights: dict[int, float] = {}

    def arranged(self, page: _FirstPage) -> PlannedSection:
        """The section, with what is on the first page in the best order."""
        every = rows(self._section, self._counts)
        fixed = [row for row in every if row[0].number < 0]  # with the example
        left = every[len(fixed) :]
        order: list[_Row] = []
        if page.open:
            page.used += design.ABOVE_SECTION + self._head + sum(map(self._height, fixed))
            while left and page.open:
                at = self._fitting(left, page, page.used)
                page.open = at is not None and (not at or page.is_sparse)
                if at is not None and page.open:
                    order.append(left.pop(at))
                    page.used += self._height(order[-1]) + design.BELOW_ITEM
        if not order and not fixed and self._is_long(left[0]):
            at = self._fitting(left, page, self._head)
            order += [left.pop(at)] if at else []
        return self._numbered([*fixed, *order, *left])

    def _fitting(self, left: Sequence[_Row], page: _FirstPage, used: float) -> int | None:
        """Which of the rows comes next: the first one, or one that fits where that does not.

        Of the others, what surely fits is preferred, then what is expected to; then the least high
        of those that fit if lines are moved together. None if nothing fits, or if the first one is
        higher than a page, and is torn in any case.
        """
        room = page.room - used
        first = self._height(left[0])
        if first - self._shrink(left[0]) > page.room:
            return None
        if first <= room:
            return 0
        may = [
            number
            for number, row in enumerate(left)
            if not number or may_come_first(self._section, row, self._counts)
        ]
        for factor in (_SURELY, 1.0):
            for number in may:
                if factor * self._height(left[number]) <= room:
                    return number
        least = min(may, key=lambda number: self._height(left[number]))
        return least if self._height(left[least]) - self._shrink(left[least]) <= room else None

    def _shrink(self, row: _Row) -> float:
        """By how much a row, and the heading above it, may be moved together."""
        item = row[0]
        between = BETWEEN * HANDS[self._size].space - self._paper.closest
        most = min(max(between, 0.0), design.LINE_SHRINK)
        return design.SECTION_SHRINK + most * len(self._ends(item))

    def _is_long(self, row: _Row) -> bool:
        """Whether a row is an exercise in several lines of music, which may go overleaf."""
        return bool(self._ends(row[0]))

    def _ends(self, item: Item) -> tuple[int, ...]:
        """Where the lines of music of an item end, but for the last."""
        return lines(item.exercise, self._frames[item.number]) if item.exercise.staves else ()

    @property
    def _head(self) -> float:
        return head_height(self._section, self._paper, self._size)

    def _height(self, row: _Row) -> float:
        """What a row takes below the one above it."""
        first = row[0].number
        if first not in self._heights:
            self._heights[first] = row_height(
                self._section, row, self._paper, self._size, self._most
            )
        return self._heights[first]

    def _numbered(self, order: Sequence[_Row]) -> PlannedSection:
        """The section with its items in the order of these rows."""
        items = [item for row in order for item in row if item.number > 0]
        if items == list(self._section.items):
            return self._section
        return replace(
            self._section,
            items=tuple(
                replace(item, number=old.number)
                for item, old in zip(items, self._section.items, strict=True)
            ),
        )
