"""Blocks to pages: where the pages end, and how what is left over is shared out.

In: blocks of marks with their heights, from the top of a book to its end. Out:
sheets. Of all ways to end the pages, the one with the fewest pages; of these, the
one whose pages are filled most alike, with a preference for a page to end where
a section does. That is the total-fit idea of D. Knuth and M. Plass, "Breaking
paragraphs into lines" (Software: Practice and Experience 11, 1981; from memory),
for pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbook.engraving.engrave import LINE_WIDTH
from workbook.pages.marks import Mark, Sheet, scaled

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height in points."""
SIZES = {"normal": 1.0, "large": 1.46, "extra-large": 1.8}
"""How much larger everything is drawn: large has 16-point labels and a staff 1.46 times."""
_MARGIN, _TOP, _FOOT = 52.0, 42.0, 30.0
GUTTER = 30.0
"""Points for the item number, left of the label and the music."""
PUNCH = 18.0
"""Points by which pages that are to be punched move away from the binding."""
_MOST_SPREAD = 56.0
"""Points: the most that is added before a block that may move down."""
_SECTION_WORTH = 90.0
"""A page may end so many points higher for a section to begin on the next."""


@dataclass(frozen=True)
class Page:
    """The room on a page, in points before it is drawn ``scale`` times as large.

    What stands between ``left`` and ``right``, ``top`` and ``bottom`` is clear of
    the margins; ``foot`` is the baseline of the last line.
    """

    paper: str
    size: str = "normal"
    punched: bool = False

    @property
    def scale(self) -> float:
        return SIZES[self.size]

    @property
    def whole(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return PAPERS[self.paper]

    @property
    def left(self) -> float:
        return _MARGIN / self.scale

    @property
    def right(self) -> float:
        return (self.whole[0] - _MARGIN) / self.scale

    @property
    def top(self) -> float:
        return (self.whole[1] - _TOP) / self.scale

    @property
    def bottom(self) -> float:
        return self.foot + (24 if self.scale == 1 else 30)

    @property
    def foot(self) -> float:
        return _FOOT / self.scale

    @property
    def line_width(self) -> int:
        """Millimetres that a line of music may be long: the same on all papers."""
        narrow = min(width for width, _ in PAPERS.values()) - 2 * _MARGIN
        return min(LINE_WIDTH, int((narrow / self.scale - GUTTER) / 72 * 25.4))

    def finished(self, sheet: Sheet, index: int) -> Sheet:
        """The sheet in points of the paper; odd pages (``index`` 0) are bound at the left."""
        shift = (PUNCH if index % 2 == 0 else -PUNCH) if self.punched else 0.0
        return Sheet([scaled(mark, self.scale, shift) for mark in sheet.marks])


@dataclass(frozen=True)
class Block:
    """Marks that stay together, their top at height 0; ``height`` in points.

    ``blank`` is how much of its top is empty, and lost at the top of a page;
    ``keep`` ties a block to the next one; ``moves`` lets it move down when a page
    has room to spare; ``opens`` says that a section begins here.
    """

    marks: tuple[Mark, ...]
    height: float
    blank: float = 0.0
    keep: bool = False
    moves: bool = False
    opens: bool = False


def fill(blocks: Sequence[Block], room: float) -> list[Sequence[Block]]:
    """The blocks of each page, at most ``room`` points high where that is possible."""
    count = len(blocks)
    # best[i]: pages, penalty and end of the first page for the blocks from i on
    best: list[tuple[int, float, int]] = [(0, 0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        height, found = -blocks[start].blank, None
        for end in range(start + 1, count + 1):
            height += blocks[end - 1].height
            if height > room and end > start + 1:
                break
            if end < count and blocks[end - 1].keep:
                continue
            pages, penalty, _ = best[end]
            left = max(room - height, 0.0)
            if end < count and blocks[end].opens:
                left = max(left - _SECTION_WORTH, 0.0)
            choice = (pages + 1, penalty + left * left, end)
            if found is None or choice[:2] < found[:2]:
                found = choice
        # blocks all tied together and higher than a page: end after the first
        best[start] = found or (best[start + 1][0] + 1, best[start + 1][1], start + 1)
    pages, start = [], 0
    while start < count:
        end = best[start][2]
        pages.append(blocks[start:end])
        start = end
    return pages


def place(blocks: Sequence[Block], page: Page) -> list[Sheet]:
    """Sheets with the blocks from the top down, spare room shared out before those that move."""
    sheets = []
    for some in fill(blocks, page.top - page.bottom):
        spare = page.top - page.bottom - sum(block.height for block in some) + some[0].blank
        moving = sum(block.moves for block in some[1:])
        step = min(max(spare, 0.0) / moving, _MOST_SPREAD) if moving else 0.0
        y, sheet = page.top + some[0].blank, Sheet()
        for index, block in enumerate(some):
            y -= step * (block.moves and index > 0)
            sheet.marks += [mark.moved(0.0, y) for mark in block.marks]
            y -= block.height
        sheets.append(sheet)
    return sheets
