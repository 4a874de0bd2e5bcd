"""The order of exercises within a section: a shorter one first where a long one has no room.

In: a plan and its paper. Out: a plan whose first page does not stay half empty, and whose
exercises do not go overleaf because they do not fit below the heading of their section.
Nothing is engraved for that: heights are expected ones (see ``engraving.expected``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from workbook import design
from workbook.pages.columns import hand_of, most_columns
from workbook.pages.expected_rows import ExpectedRows
from workbook.pages.flow import Block, fill
from workbook.pages.opening import opening
from workbook.pages.paper import Paper
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
        last = fill(opening, self.room)[-1] if len(opening) > 1 else opening
        self.used = sum(block.height for block in last)
        self.open = self.is_sparse
        """Whether what comes next may stand on it."""

    @property
    def is_sparse(self) -> bool:
        return self.used < design.FIRST_PAGE * self.room


class _Section:
    """A section, and what its rows are expected to take."""

    def __init__(self, section: PlannedSection, paper: Paper, size: str, most: int):
        self._section, self._rows = section, ExpectedRows(section, paper, size, most)

    def arranged(self, page: _FirstPage) -> PlannedSection:
        """The section, with what is on the first page in the best order."""
        fixed, height = self._rows.fixed, self._rows.height
        left = self._rows.every[len(fixed) :]
        order: list[_Row] = []
        if page.open:
            page.used += design.ABOVE_SECTION + self._rows.head + sum(map(height, fixed))
            while left and page.open:
                at = self._fitting(left, page, page.used)
                page.open = at is not None and (not at or page.is_sparse)
                if at is not None and page.open:
                    order.append(left.pop(at))
                    page.used += height(order[-1]) + design.BELOW_ITEM
        if not order and not fixed and self._rows.is_long(left[0]):
            at = self._fitting(left, page, self._rows.head)
            order += [left.pop(at)] if at else []
        return self._numbered([*fixed, *order, *left])

    def _fitting(self, left: Sequence[_Row], page: _FirstPage, used: float) -> int | None:
        """Which of the rows comes next: the first one, or one that fits where that does not.

        Of the others, what surely fits is preferred, then what is expected to; then the least high
        of those that fit if lines are moved together. None if nothing fits, or if the first one is
        higher than a page, and is torn in any case.
        """
        room, height, shrink = page.room - used, self._rows.height, self._rows.shrink
        if height(left[0]) - shrink(left[0]) > page.room:
            return None
        if height(left[0]) <= room:
            return 0
        may = [n for n, row in enumerate(left) if not n or self._rows.may_come_first(row)]
        for factor in (_SURELY, 1.0):
            for number in may:
                if factor * height(left[number]) <= room:
                    return number
        least = min(may, key=lambda number: height(left[number]))
        return least if height(left[least]) - shrink(left[least]) <= room else None

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
