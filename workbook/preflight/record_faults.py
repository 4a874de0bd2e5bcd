"""Checks a record on its own: numbers, points, versions, rectangles.

In: what a record expects of the pages. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from workbook.design import PUNCH
from workbook.pages.paper import Paper
from workbook.preflight.expected import Expected, ExpectedBlank

_APART = 1.0
"""The least distance between two boxes in points; their lines are 0.7 points wide."""
_LEAST = 1.0
"""The least width and height of a blank in points; the smallest box has 15."""
_HAIR = 0.01
"""Tolerance in points: ``key.json`` rounds to 0.01."""


def faults(record: Expected) -> Iterator[tuple[int, str]]:
    """(page, what is wrong) within the record; page 0 for the whole record."""
    numbers = [item.number for item in record.items]
    if numbers != list(range(1, len(numbers) + 1)) or not numbers:
        yield 0, f"the items are numbered {listed(numbers)}; they must run from 1 without a gap"
    total = sum(item.points for item in record.items)
    if total != record.points:
        yield 0, f"the items' points add up to {total}, not to {record.points}"
    for item, after in zip(record.items, [*record.items[1:], None]):
        names = [blank.name for blank in item.blanks]
        if names != [f"{item.number}.{count}" for count in range(1, len(names) + 1)] or not names:
            yield (
                item.page,
                (
                    f"the blanks of item {item.number} are {listed(names)}; they must "
                    f"run from {item.number}.1 without a gap"
                ),
            )
        last = after.page if after else max((blank.page for blank in item.blanks), default=0)
        for blank in item.blanks:
            if blank.versions and (
                blank.versions[0] != blank.answer
                or set(blank.versions) - {blank.answer, *blank.also}
            ):
                yield (
                    blank.page,
                    (
                        f"the versions of blank {blank.name} are "
                        f"{listed(blank.versions)}; its answer is {blank.answer}, "
                        f"also {listed(blank.also)}"
                    ),
                )
            if not item.page <= blank.page <= last:
                yield (
                    blank.page,
                    (
                        f"blank {blank.name} is on page {blank.page}; its item begins "
                        f"on page {item.page}, the next one on page {last}"
                    ),
                )
    yield from _rectangles(record)


def _rectangles(record: Expected) -> Iterator[tuple[int, str]]:
    """Check that blanks lie inside the margins and do not touch."""
    for blank in record.blanks:
        x0, y0, x1, y1 = blank.rect
        if x1 - x0 < _LEAST or y1 - y0 < _LEAST:
            yield blank.page, f"blank {blank.name} is too small to be a blank: {blank.rect}"
    for page in sorted({blank.page for blank in record.blanks}):
        blanks = sorted(record.on(page), key=lambda blank: blank.rect[0])
        outside = _outside(record.paper, blanks, 0)
        if outside:  # pages to be punched are moved to the left or the right
            moved = (_outside(record.paper, blanks, shift) for shift in (PUNCH, -PUNCH))
            outside = min((outside, *moved), key=len)
        for blank in outside:
            yield page, f"blank {blank.name} is not inside the margins: {blank.rect}"
        placed = [(*blank.rect, blank.drawn, blank) for blank in blanks]
        for index, (_, low, right, high, drawn, one) in enumerate(placed):
            for x0, y0, _, y1, other_drawn, other in placed[index + 1 :]:
                apart = -_HAIR if drawn or other_drawn else _APART
                if x0 >= right + apart:
                    break
                if y0 < high + apart and low < y1 + apart:
                    yield page, f"blanks {one.name} and {other.name} touch"


def _outside(paper: Paper, blanks: list[ExpectedBlank], shift: float) -> list[ExpectedBlank]:
    left, right = (side * paper.scale + shift for side in (paper.left, paper.right))
    bottom, top = paper.bottom * paper.scale, paper.top * paper.scale
    return [
        blank
        for blank in blanks
        for x0, y0, x1, y1 in [blank.rect]
        if not (
            left - _HAIR <= x0 < x1 <= right + _HAIR and bottom - _HAIR <= y0 < y1 <= top + _HAIR
        )
    ]


def listed(values: Iterable[object]) -> str:
    """Values for a message: ``"1, 2, 4"``, at most twelve; "none" if there are none."""
    shown = [str(value) for value in values]
    return ", ".join(shown[:12]) + (", …" if len(shown) > 12 else "") if shown else "none"
