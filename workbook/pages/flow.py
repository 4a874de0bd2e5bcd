"""Page breaks: where each page ends, and how spare space is distributed.

In: blocks of elements with their heights, in reading order. Out: pages. The breaks chosen
give the fewest pages, where a half-empty page counts as two or more. Among those, they fill
the pages most evenly and prefer to break between sections. A page never ends with free space that
would hold what comes next. This applies to pages the
total-fit method of D. Knuth and M. Plass, "Breaking paragraphs into lines" (Software:
Practice and Experience 11, 1981; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from workbook import design
from workbook.pages.elements import Element, Page, Picture
from workbook.pages.paper import Paper

_SECTION_ALLOWANCE = 90.0
"""Points of empty space that cost nothing if the next page then begins with a section."""
_FULL, _BARE = 0.55, 10.0
"""A page filled less than the share ``_FULL`` counts as one page more, plus ``_BARE`` pages
times the missing share. One more page is thus better than two half-empty ones."""
_EMPTY = 3.0
"""Factor on the penalty of a page filled less than ``design.FIRST_PAGE``."""
_SPLIT, _TIGHT, _SPARE = 150.0**2, 120.0**2, 150.0**2
"""Penalties for an exercise split over two pages, for a page squeezed to the limit, and for one
that needs filler.

The unit is the square of the points that a page leaves empty.
"""


@dataclass(frozen=True)
class Block:
    """Elements that stay together. Their top is at height 0; all measures are in points.

    ``above`` and ``below`` are white space, dropped at the top and bottom of a page. The
    space above can shrink by up to ``shrink`` on a full page and stretch by up to ``stretch``
    on a page with room. ``keep`` ties the block to the next one. ``opens`` marks the start
    of a section. ``within`` marks a later line of an exercise, before which a page seldom
    ends. The next page then begins with ``repeated``, a heading
    ``repeated_height`` high that names the exercise. ``staff`` is the height of the first
    staff's top line, or of the top of a figure; 0 if there is neither.
    """

    elements: tuple[Element, ...]
    height: float
    above: float = 0.0
    below: float = 0.0
    shrink: float = 0.0
    stretch: float = 0.0
    keep: bool = False
    opens: bool = False
    within: bool = False
    repeated: tuple[Element, ...] = ()
    repeated_height: float = 0.0
    staff: float = 0.0


def fill(blocks: Sequence[Block], room: float) -> list[Sequence[Block]]:
    """The blocks of each page, at most ``room`` points high where possible."""
    count, torn = len(blocks), _torn(blocks, room)
    # best[i]: for blocks[i:], the number of pages, the penalty and the first page's end
    best: list[tuple[float, float, int]] = [(0, 0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        whole: list[tuple[int, float, float]] = []
        split: list[tuple[int, float, float]] = []
        fitting = start + 1
        for end, high, shrink in _ends(blocks, start, room):
            fitting = end
            if end == count or not blocks[end - 1].keep:
                (split if end in torn else whole).append((end, high, shrink))
        whole = list(_not_wasteful(blocks, room, start, whole or split))
        # tied blocks that exceed a page: take as many as fit
        best[start] = min(
            (_choice(blocks, room, best, start, *one) for one in whole),
            default=(best[fitting][0] + 1, best[fitting][1], fitting),
        )
    pages, start = [], 0
    while start < count:
        end = best[start][2]
        pages.append(blocks[start:end])
        start = end
    return pages


def page_count(blocks: Sequence[Block], paper: Paper) -> int:
    """How many pages the blocks take."""
    return len(fill(blocks, paper.top - paper.bottom))


def _not_wasteful(
    blocks: Sequence[Block], room: float, start: int, ends: list[tuple[int, float, float]]
) -> Iterator[tuple[int, float, float]]:
    """The ends of a page after which the next block would not have fitted.

    Space that is distributed between the exercises does not count as free.
    """
    for one, after in zip_longest(ends, ends[1:]):
        end, high, _ = one
        taken = high + sum(block.stretch for block in blocks[start + 1 : end])
        if not after or taken + after[1] - high > room:
            yield one


def _torn(blocks: Sequence[Block], room: float) -> set[int]:
    """The page ends that would tear an exercise that fits on one page."""
    torn: set[int] = set()
    start = 0
    for end in range(1, len(blocks) + 1):
        if end < len(blocks) and blocks[end].within:
            continue
        lines = blocks[start:end]
        high = sum(line.height for line in lines) + sum(line.above for line in lines[1:])
        if high - sum(line.shrink for line in lines[1:]) <= room:
            torn.update(range(start + 1, end))
        start = end
    return torn


def _ends(blocks: Sequence[Block], start: int, room: float) -> Iterator[tuple[int, float, float]]:
    """Each possible end of a page that begins at ``start``, with its height and its shrink."""
    high = blocks[start].repeated_height + blocks[start].height
    shrink = 0.0
    yield start + 1, high, shrink
    for end in range(start + 1, len(blocks)):
        block = blocks[end]
        high += blocks[end - 1].below + block.above + block.height
        shrink += block.shrink
        if high - shrink > room:
            return
        yield end + 1, high, shrink


def _choice(
    blocks: Sequence[Block],
    room: float,
    best: list[tuple[float, float, int]],
    start: int,
    end: int,
    high: float,
    shrink: float,
) -> tuple[float, float, int]:
    pages, penalty, _ = best[end]
    left = free = room - high
    if high < _FULL * room:
        pages += 1 + _BARE * (_FULL - high / room)
    if left < 0:
        penalty += (left / shrink) ** 2 * _TIGHT if shrink else 0.0
    elif high < design.FIRST_PAGE * room:
        penalty += left * left * _EMPTY
    else:
        if end < len(blocks) and blocks[end].opens:
            left = max(left - _SECTION_ALLOWANCE, 0.0)
        penalty += left * left
    if end < len(blocks) and blocks[end].within:
        penalty += _SPLIT
    if free - sum(block.stretch for block in blocks[start + 1 : end]) > design.SPARE_FROM:
        penalty += _SPARE
    return pages + 1, penalty, end


def paginate(
    blocks: Sequence[Block], paper: Paper, filler: Callable[[float], list[Element]] = lambda top: []
) -> list[Page]:
    """Lay the blocks out on pages and distribute the spare space.

    ``filler`` fills a page that stays half empty: it gets the height below the last block
    and returns elements.
    """
    pages, room = [], paper.top - paper.bottom
    for page_blocks in fill(blocks, room):
        first, *others = page_blocks
        high = (
            first.repeated_height
            + first.height
            + sum(
                before.below + block.above + block.height
                for before, block in zip(page_blocks, others)
            )
        )
        shares = _shares(others, room - high)
        y, elements = paper.top, [element.moved(0.0, paper.top) for element in first.repeated]
        y -= first.repeated_height
        for before, block, extra in zip((None, *page_blocks), page_blocks, (0.0, *shares)):
            y -= before.below + block.above + extra if before else 0.0
            elements += [element.moved(0.0, y) for element in block.elements]
            y -= block.height
        if y - page_blocks[-1].below - paper.bottom > design.SPARE_FROM:
            elements += filler(y - page_blocks[-1].below)
        pages.append(Page(_joined(elements)))
    return pages


def _shares(blocks: Sequence[Block], spare: float) -> list[float]:
    """Points to add above each block; negative values remove space.

    Spare space goes between exercises first, and between the lines of one only when the
    exercises cannot take it all.
    """
    if spare < 0:
        part = max(spare / (sum(block.shrink for block in blocks) or 1.0), -1.0)
        return [part * block.shrink for block in blocks]
    found = [0.0] * len(blocks)
    for within in (False, True):
        stretch = [block.stretch * (block.within is within) for block in blocks]
        part = min(spare / (sum(stretch) or 1.0), 1.0)
        found = [before + part * one for before, one in zip(found, stretch)]
        spare -= part * sum(stretch)
    return found


def _joined(elements: list[Element]) -> list[Element]:
    """Join adjacent bands of a picture that keep their engraved distance into one element."""
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
