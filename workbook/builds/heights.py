"""How high exercises were on the sheets laid out so far, to tell how many pages others take.

In: sheets that were laid out. Out: the pages that another will take, before it is planned.
"""

from __future__ import annotations

from collections.abc import Sequence

from workbook.builds.orders import Order
from workbook.pages.flow import Block, page_count
from workbook.pages.paper import Paper
from workbook.planning.aimed import groups

_Look = tuple[Paper, str]


class Heights:
    """What is known of openings, headings and exercises, by paper, hand and skill."""

    def __init__(self) -> None:
        self._openings: dict[_Look, Sequence[Block]] = {}
        self._headings: dict[_Look, Block] = {}
        self._items: dict[_Look, dict[str, Block]] = {}

    def learn(self, order: Order, parts: Sequence[Sequence[Block]]) -> None:
        """Take in the opening and the sections of a sheet that was laid out."""
        look = _look(order)
        known = self._items.setdefault(look, {})
        self._openings[look] = parts[0]
        for (_, targets), section in zip(groups(order.row, order.targets), parts[1:], strict=True):
            start = next(index for index, block in enumerate(section) if not block.keep)
            self._headings[look] = _sum(section[:start])
            # short exercises stand side by side: each takes its share of the rows
            share = _sum(section[start:], len(targets))
            known |= {target.cell.skill: share for target in targets}

    def pages(self, order: Order) -> int | None:
        """How many pages a sheet will take; None if nothing is known of sheets like it."""
        look = _look(order)
        known = self._items.get(look)
        if not known:
            return None
        usual = _sum(list(known.values()), len(known))
        found = list(self._openings[look])
        for _, targets in groups(order.row, order.targets):
            found.append(self._headings[look])
            found += [known.get(target.cell.skill, usual) for target in targets]
        return page_count(found, order.paper)


def _look(order: Order) -> _Look:
    return order.paper, order.row.template.hand


def _sum(blocks: Sequence[Block], shares: int = 1) -> Block:
    """One block as high as all of them, or one of so many equal shares of it."""
    return Block(
        (),
        sum(one.height for one in blocks) / shares,
        sum(one.above for one in blocks) / shares,
        sum(one.below for one in blocks) / shares,
        sum(one.shrink for one in blocks) / shares,
        sum(one.stretch for one in blocks) / shares,
        keep=blocks[0].keep,
        opens=blocks[0].opens,
    )
