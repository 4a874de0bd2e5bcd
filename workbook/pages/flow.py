"""Blocks to pages: where the pages end, and how what is left over is shared out.

In: blocks of marks with their heights, from the top of a book to its end. Out:
sheets. Of all ways to end the pages, the one with the fewest pages, where one that is
half empty counts twice or more; of these, the one whose pages are filled most alike,
with a preference for a page to end where a section does. That is the total-fit idea
of D. Knuth and M. Plass, "Breaking paragraphs into lines" (Software: Practice and
Experience 11, 1981; from memory), for pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from workbook.engraving.shares import LINE_WIDTH
from workbook.pages.elements import Mark, Picture, Sheet, scaled

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height in points."""
SIZES = {"normal": 1.0, "large": 1.46, "extra-large": 1.8}
"""How much larger everything is drawn: large has 16-point labels and a staff 1.46 times."""
_MARGIN, _TOP, _FOOT = 52.0, 42.0, 30.0
GUTTER = 30.0
"""Points for the item number, left of the label and the music."""
PUNCH = 18.0
"""Points by which pages that are to be punched move away from the binding."""
_SECTION_WORTH = 90.0
"""A page may end so many points higher for a section to begin on the next."""
_FULL, _BARE = 0.55, 10.0
"""A page filled less than this share counts as one page more, and as so many more for each
whole that it lacks: rather one page more than two that are half empty. One that is even so
has something else in the rest."""
_HALF = 0.6
"""A page that would be filled less than this may end within an exercise."""
_EMPTY = 3.0
"""How much more a page weighs that is filled less than that."""
_SPLIT, _TIGHT = 150.0**2, 120.0**2
"""What an exercise on two pages, and a page as tight as it may be, weigh: as much as
so many points left empty, squared."""


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
    def narrow(self) -> bool:
        """Whether little stands side by side: in large print."""
        return self.right - self.left < 400

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
        return self.foot + 24

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

    ``above`` and ``below`` are white and lost at the ends of a page; of what is above,
    a full page takes back up to ``gives``, a page with room to spare adds up to
    ``takes``. ``keep`` ties a block to the next one; ``opens`` says that a section
    begins here. ``within`` is a line of an exercise that began above: a page ends
    before it only where it would else be half empty; then ``again``, ``again_height``
    points high, says on the next page what goes on there.
    """

    marks: tuple[Mark, ...]
    height: float
    above: float = 0.0
    below: float = 0.0
    gives: float = 0.0
    takes: float = 0.0
    keep: bool = False
    opens: bool = False
    within: bool = False
    again: tuple[Mark, ...] = ()
    again_height: float = 0.0


def fill(blocks: Sequence[Block], room: float) -> list[Sequence[Block]]:
    """The blocks of each page, at most ``room`` points high where that is possible."""
    count = len(blocks)
    # best[i]: pages, penalty and end of the first page for the blocks from i on
    best: list[tuple[float, float, int]] = [(0, 0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        whole, split, fitting = [], [], start + 1
        for end, high, gives in _ends(blocks, start, room):
            fitting = end
            if end == count or not blocks[end - 1].keep:
                (split if end < count and blocks[end].within else whole).append((end, high, gives))
        if not whole or whole[-1][1] < _HALF * room:
            whole += split
        # blocks all tied together and higher than a page: as many as it holds
        best[start] = min(
            (_choice(blocks, room, best, *one) for one in whole),
            default=(best[fitting][0] + 1, best[fitting][1], fitting),
        )
    pages, start = [], 0
    while start < count:
        end = best[start][2]
        pages.append(blocks[start:end])
        start = end
    return pages


def _ends(blocks: Sequence[Block], start: int, room: float) -> Iterator[tuple[int, float, float]]:
    """Where a page that begins with ``start`` may end, its height, and what that may shrink."""
    high = blocks[start].again_height + blocks[start].height
    gives = 0.0
    yield start + 1, high, gives
    for end in range(start + 1, len(blocks)):
        block = blocks[end]
        high += blocks[end - 1].below + block.above + block.height
        gives += block.gives
        if high - gives > room:
            return
        yield end + 1, high, gives


def _choice(
    blocks: Sequence[Block],
    room: float,
    best: list[tuple[float, float, int]],
    end: int,
    high: float,
    gives: float,
) -> tuple[float, float, int]:
    pages, penalty, _ = best[end]
    left = room - high
    if high < _FULL * room:
        pages += 1 + _BARE * (_FULL - high / room)
    if left < 0:
        penalty += (left / gives) ** 2 * _TIGHT if gives else 0.0
    elif high < _HALF * room:
        penalty += left * left * _EMPTY
    else:
        if end < len(blocks) and blocks[end].opens:
            left = max(left - _SECTION_WORTH, 0.0)
        penalty += left * left
    if end < len(blocks) and blocks[end].within:
        penalty += _SPLIT
    return pages + 1, penalty, end


def place(
    blocks: Sequence[Block], page: Page, rest: Callable[[float], list[Mark]] = lambda top: []
) -> list[Sheet]:
    """Sheets with the blocks from the top down, and the room that is left shared out.

    A page that is half empty even so has ``rest`` of the height below the last block.
    """
    sheets, room = [], page.top - page.bottom
    for some in fill(blocks, room):
        first, *more = some
        high = (
            first.again_height
            + first.height
            + sum(before.below + block.above + block.height for before, block in zip(some, more))
        )
        shares = _shares(more, room - high)
        y, marks = page.top, [mark.moved(0.0, page.top) for mark in first.again]
        y -= first.again_height
        for before, block, extra in zip((None, *some), some, (0.0, *shares)):
            y -= before.below + block.above + extra if before else 0.0
            marks += [mark.moved(0.0, y) for mark in block.marks]
            y -= block.height
        if page.top - y < _FULL * room:
            marks += rest(y - some[-1].below)
        sheets.append(Sheet(_joined(marks)))
    return sheets


def _shares(blocks: Sequence[Block], spare: float) -> list[float]:
    """What is added above each block, or, less than 0, taken away: first between
    exercises, and only what these cannot take between the lines of one.
    """
    if spare < 0:
        part = max(spare / (sum(block.gives for block in blocks) or 1.0), -1.0)
        return [part * block.gives for block in blocks]
    found = [0.0] * len(blocks)
    for within in (False, True):
        takes = [block.takes * (block.within is within) for block in blocks]
        part = min(spare / (sum(takes) or 1.0), 1.0)
        found = [before + part * one for before, one in zip(found, takes)]
        spare -= part * sum(takes)
    return found


def _joined(marks: list[Mark]) -> list[Mark]:
    """The lines of a picture that stand to one another as engraved, in one piece."""
    found: list[Mark] = []
    last = -1
    for mark in marks:
        if isinstance(mark, Picture) and mark.band:
            before = found[last] if last >= 0 else None
            if before and before.snippet is mark.snippet and abs(before.y - mark.y) < 0.001:
                lines = mark.snippet.lines
                band = (mark.band[0], before.band[1])
                found[last] = before._replace(
                    band=None if band == (lines[-1][0], lines[0][1]) else band
                )
                continue
            last = len(found)
        found.append(mark)
    return found
