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

from workbook.pages.elements import Element, Page, Picture
from workbook.pages.paper import Paper

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
class Block:
    """Marks that stay together, their top at height 0; ``height`` in points.

    ``above`` and ``below`` are white and lost at the ends of a page; of what is above,
    a full page takes back up to ``gives``, a page with room to spare adds up to
    ``takes``. ``keep`` ties a block to the next one; ``opens`` says that a section
    begins here. ``within`` is a line of an exercise that began above: a page ends
    before it only where it would else be half empty; then ``again``, ``again_height``
    points high, says on the next page what goes on there.
    """

    elements: tuple[Element, ...]
    height: float
    above: float = 0.0
    below: float = 0.0
    gives: float = 0.0
    takes: float = 0.0
    keep: bool = False
    opens: bool = False
    within: bool = False
    again: tuple[Element, ...] = ()
    again_height: float = 0.0


def fill(blocks: Sequence[Block], room: float) -> list[Sequence[Block]]:
    """The blocks of each page, at most ``room`` points high where that is possible."""
    count = len(blocks)
    # best[i]: pages, penalty and end of the first page for the blocks from i on
    best: list[tuple[float, float, int]] = [(0, 0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        whole: list[tuple[int, float, float]] = []
        split: list[tuple[int, float, float]] = []
        fitting = start + 1
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
    blocks: Sequence[Block], paper: Paper, rest: Callable[[float], list[Element]] = lambda top: []
) -> list[Page]:
    """Sheets with the blocks from the top down, and the room that is left shared out.

    A page that is half empty even so has ``rest`` of the height below the last block.
    """
    pages, room = [], paper.top - paper.bottom
    for some in fill(blocks, room):
        first, *more = some
        high = (
            first.again_height
            + first.height
            + sum(before.below + block.above + block.height for before, block in zip(some, more))
        )
        shares = _shares(more, room - high)
        y, elements = paper.top, [element.moved(0.0, paper.top) for element in first.again]
        y -= first.again_height
        for before, block, extra in zip((None, *some), some, (0.0, *shares)):
            y -= before.below + block.above + extra if before else 0.0
            elements += [element.moved(0.0, y) for element in block.elements]
            y -= block.height
        if paper.top - y < _FULL * room:
            elements += rest(y - some[-1].below)
        pages.append(Page(_joined(elements)))
    return pages


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


def _joined(elements: list[Element]) -> list[Element]:
    """The lines of a picture that stand to one another as engraved, in one piece."""
    found: list[Element] = []
    last = -1
    for element in elements:
        if isinstance(element, Picture) and element.band:
            before = found[last] if last >= 0 else None
            if (
                isinstance(before, Picture)
                and before.band
                and before.snippet is element.snippet
                and abs(before.y - element.y) < 0.001
            ):
                lines = element.snippet.lines
                band = (element.band[0], before.band[1])
                found[last] = before._replace(
                    band=None if band == (lines[-1][0], lines[0][1]) else band
                )
                continue
            last = len(found)
        found.append(element)
    return found
