"""``key.json`` read back, and what must be true of it by itself.

In: its text. Out: a ``Record``; findings about numbers, points and rectangles.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from workbook.exercises.model import DRAWN
from workbook.pages.paper import PAPERS, PUNCH, SIZES, Paper
from workbook.pdf.content import Rect
from workbook.pdf.finished import Unreadable

_APART = 1.0
"""Points: the least between two boxes, whose lines are 0.7 points wide."""
_HAIR = 0.01
"""Points: ``key.json`` rounds to as much."""


class Asked(NamedTuple):
    """One blank of ``key.json``; ``rect`` in points from the lower left corner. The rest is as
    in ``exercises.model.Blank``.
    """

    name: str
    asks: str
    hand: str
    answer: str
    page: int
    rect: Rect
    column: int
    also: tuple[str, ...]
    versions: tuple[str, ...]

    @property
    def drawn(self) -> bool:
        """Answered on the music, so that no box is drawn."""
        return self.asks in DRAWN

    @property
    def visible(self) -> bool:
        """Whether the answer is something to see: no sign at all is one, too."""
        return self.answer.strip() not in (("", "none") if self.drawn else ("",))


@dataclass(frozen=True)
class Printed:
    """One item of ``key.json``."""

    number: int
    page: int
    points: int
    prompt: str
    blanks: tuple[Asked, ...]


@dataclass(frozen=True)
class Record:
    """What ``key.json`` says of a workbook."""

    student: str
    title: str
    code: str
    paper: Paper
    points: int
    items: tuple[Printed, ...]

    @cached_property
    def blanks(self) -> list[Asked]:
        return [blank for item in self.items for blank in item.blanks]

    @cached_property
    def _pages(self) -> dict[int, list[Asked]]:
        pages = defaultdict(list)
        for blank in self.blanks:
            pages[blank.page].append(blank)
        return pages

    @cached_property
    def prompts(self) -> dict[str, str]:
        """The prompt of each item by its number, both as words on a page."""
        return {str(item.number): " ".join(item.prompt.split()) for item in self.items}

    def on(self, page: int) -> list[Asked]:
        """The blanks of a page."""
        return self._pages.get(page, [])


def read_record(text: str) -> Record:
    """The record in the text of a ``key.json``. Raises Unreadable."""
    try:
        data = json.loads(text)
        items = tuple(
            Printed(
                int(item["number"]),
                int(item["page"]),
                int(item["points"]),
                str(item["prompt"]),
                tuple(map(_asked, item["blanks"])),
            )
            for item in data["items"]
        )
        return Record(
            str(data["student"]),
            str(data["title"]),
            str(data["code"]),
            _paper(data["paper"], data["size"]),
            int(data["points"]),
            items,
        )
    except KeyError as error:
        raise Unreadable(f"{error} is missing") from None
    except (ValueError, TypeError, RecursionError) as error:
        raise Unreadable(str(error)) from None


def _paper(paper: str, size: str) -> Paper:
    if paper not in PAPERS or size not in SIZES:
        raise ValueError(f"paper {paper!r} of size {size!r} is unknown")
    return Paper(paper, size)


def _asked(blank: dict) -> Asked:
    x0, y0, x1, y1 = map(float, blank["rect"])
    return Asked(
        str(blank["id"]),
        str(blank["asks"]),
        str(blank["hand"]),
        str(blank["answer"]),
        int(blank["page"]),
        (x0, y0, x1, y1),
        int(blank["column"]),
        tuple(map(str, blank["also"])),
        tuple(map(str, blank.get("versions", ()))),
    )


def faults(record: Record) -> Iterator[tuple[int, str]]:
    """(page, what is wrong) for all that the record itself shows; page 0 for none."""
    numbers = [item.number for item in record.items]
    if numbers != list(range(1, len(numbers) + 1)) or not numbers:
        yield 0, f"the items are numbered {listed(numbers)}; they must run from 1 without a gap"
    total = sum(item.points for item in record.items)
    if total != record.points:
        yield 0, f"the items' points add up to {total}, not to {record.points}"
    for item, after in zip(record.items, [*record.items[1:], None]):
        names = [blank.name for blank in item.blanks]
        if names != [f"{item.number}.{place}" for place in range(1, len(names) + 1)] or not names:
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
    yield from _places(record)


def _places(record: Record) -> Iterator[tuple[int, str]]:
    for page in sorted({blank.page for blank in record.blanks}):
        blanks = sorted(record.on(page), key=lambda blank: blank.rect[0])
        # pages to be punched are moved to one side or the other
        outside = min(
            (_outside(record.paper, blanks, shift) for shift in (0, PUNCH, -PUNCH)), key=len
        )
        for blank in outside:
            yield page, f"blank {blank.name} is not inside the margins: {blank.rect}"
        placed = [(*blank.rect, blank.drawn, blank) for blank in blanks]
        for index, (_, low, right, high, drawn, one) in enumerate(placed):
            for x0, y0, _, y1, also_drawn, other in placed[index + 1 :]:
                apart = -_HAIR if drawn or also_drawn else _APART
                if x0 >= right + apart:
                    break
                if y0 < high + apart and low < y1 + apart:
                    yield page, f"blanks {one.name} and {other.name} touch"


def _outside(paper: Paper, blanks: list[Asked], shift: float) -> list[Asked]:
    left, right = (side * paper.scale + shift for side in (paper.left, paper.right))
    bottom, top = paper.bottom * paper.scale, paper.top * paper.scale
    return [
        blank
        for blank in blanks
        if not (
            left - _HAIR <= blank.rect[0] < blank.rect[2] <= right + _HAIR
            and bottom - _HAIR <= blank.rect[1] < blank.rect[3] <= top + _HAIR
        )
    ]


def listed(values) -> str:
    """Values for a message: ``"1, 2, 4"``, at most twelve of them."""
    shown = [str(value) for value in values]
    return ", ".join(shown[:12]) + (", …" if len(shown) > 12 else "") if shown else "none"
