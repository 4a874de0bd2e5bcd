"""How high exercises were on the sheets laid out so far, to estimate the pages of others.

In: sheets that were laid out. Out: the number of pages of another sheet, before it is planned.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from workbook.builds.orders import Order
from workbook.pages.flow import Block, page_count
from workbook.pages.paper import Paper
from workbook.planning.aimed import groups

_KNOWN, _UNKNOWN = 0.7, 1.35
"""Pages are estimated only if at least this share of the exercises has a known skill. The others
are assumed to be so many times as high as usual: a sheet that is too long is planned again.
"""

_Look = tuple[Paper, str]


class _Row(NamedTuple):
    """The row of an exercise, as one block, and how many are side by side in it."""

    block: Block
    columns: int


class Heights:
    """What is known about openings, headings and exercises, by paper, hand and skill."""

    def __init__(self) -> None:
        self._openings: dict[_Look, Sequence[Block]] = {}
        self._headings: dict[_Look, dict[str, Block]] = {}
        self._rows: dict[_Look, dict[str, _Row]] = {}
        self._usual: dict[_Look, _Row] = {}

    def learn(self, order: Order, parts: Sequence[Sequence[Block]]) -> None:
        """Take in the opening and the sections of a sheet that was laid out."""
        look = _look(order)
        known, headings = self._rows.setdefault(look, {}), self._headings.setdefault(look, {})
        self._openings[look] = parts[0]
        by_heading = groups(order.row, order.targets)
        for (title, targets), section in zip(by_heading, parts[1:], strict=True):
            start = next(index for index, block in enumerate(section) if not block.keep)
            headings[title] = _sum(section[:start])
            rows = list(_rows(section[start:]))
            columns = ceil(len(targets) / len(rows))
            if columns == 1:
                alone = zip(targets, rows)
                known |= {target.cell.skill: _Row(row, 1) for target, row in alone}
            else:
                usual = _Row(_sum(rows, len(rows)), columns)
                known |= {target.cell.skill: usual for target in targets}
        self._usual.pop(look, None)

    def pages(self, order: Order) -> int | None:
        """How many pages a sheet will take; None if too little is known about sheets like it."""
        look = _look(order)
        known = self._rows.get(look, {})
        if sum(one.cell.skill in known for one in order.targets) < _KNOWN * len(order.targets):
            return None
        if look not in self._usual:
            self._usual[look] = _usual(known)
        headings, usual = self._headings[look], self._usual[look]
        found = list(self._openings[look])
        for title, targets in groups(order.row, order.targets):
            found.append(headings.get(title) or max(headings.values(), key=_height))
            found += _blocks([known.get(one.cell.skill, usual) for one in targets])
        return page_count(found, order.paper)


def _usual(known: Mapping[str, _Row]) -> _Row:
    """The row of an exercise about which nothing is known."""
    rows, first = known.values(), next(iter(known.values())).block
    shares = zip(*([one / columns for one in _measures(row)] for row, columns in rows))
    return _Row(_measured([sum(share) * _UNKNOWN / len(known) for share in shares], first), 1)


def _blocks(rows: Sequence[_Row]) -> Iterator[Block]:
    """A block for each row that the exercises with these ``rows`` take."""
    columns = beside = 0
    for row in rows:
        if row.columns != columns or not beside:
            columns, beside = row.columns, row.columns
            yield row.block
        beside -= 1


def _rows(blocks: Sequence[Block]) -> Iterator[Block]:
    """The rows of a section's exercises; the lines of one exercise are one row."""
    starts = [index for index, block in enumerate(blocks) if not block.within]
    for start, end in zip(starts, [*starts[1:], len(blocks)]):
        yield _sum(blocks[start:end])


def _look(order: Order) -> _Look:
    return order.paper, order.row.template.hand


def _height(block: Block) -> float:
    return block.height


def _sum(blocks: Sequence[Block], shares: float = 1) -> Block:
    """One block as high as all of them, or an equal share of it."""
    measures = [sum(share) / shares for share in zip(*map(_measures, blocks))]
    return _measured(measures, blocks[0])


def _measured(measures: Sequence[float], like: Block) -> Block:
    """A block with these measures, as ``_measures`` gives them."""
    height, above, below, shrink, stretch = measures
    return Block((), height, above, below, shrink, stretch, keep=like.keep, opens=like.opens)


def _measures(block: Block) -> tuple[float, float, float, float, float]:
    return block.height, block.above, block.below, block.shrink, block.stretch
