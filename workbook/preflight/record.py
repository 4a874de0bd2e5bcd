"""``key.json`` read back, and what must be true of it by itself.

In: its text. Out: a ``Record``; findings about numbers, points and rectangles.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from workbook.exercises.model import DRAWN
from workbook.pages.flow import BOTTOM, MARGIN, PAPERS, TOP
from workbook.preflight.content import Rect, Unreadable

_APART = 1.0
"""Points: the least between two boxes, whose lines are 0.7 points wide."""
_HAIR = 0.01
"""Points: ``key.json`` rounds to as much."""


@dataclass(frozen=True)
class Asked:
    """One blank of ``key.json``; ``rect`` in points from the lower left corner."""

    name: str
    asks: str
    answer: str
    page: int
    rect: Rect

    @property
    def drawn(self) -> bool:
        """Answered on the music, so that no box is drawn."""
        return self.asks in DRAWN


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
    """What ``key.json`` says of a workbook; ``size`` is the page's, in points."""

    student: str
    title: str
    code: str
    size: tuple[float, float]
    points: int
    items: tuple[Printed, ...]

    @property
    def blanks(self) -> list[Asked]:
        return [blank for item in self.items for blank in item.blanks]

    def on(self, page: int) -> list[Asked]:
        """The blanks of a page."""
        return [blank for blank in self.blanks if blank.page == page]


def read_record(text: str) -> Record:
    """The record in the text of a ``key.json``. Raises Unreadable."""
    try:
        data = json.loads(text)
        items = tuple(
            Printed(int(item["number"]), int(item["page"]), int(item["points"]),
                    str(item["prompt"]), tuple(map(_asked, item["blanks"])))
            for item in data["items"])
        return Record(str(data["student"]), str(data["title"]), str(data["code"]),
                      PAPERS[data["paper"]], int(data["points"]), items)
    except KeyError as error:
        raise Unreadable(f"{error} is missing or unknown") from None
    except (ValueError, TypeError, RecursionError) as error:
        raise Unreadable(str(error)) from None


def _asked(blank: dict) -> Asked:
    x0, y0, x1, y1 = map(float, blank["rect"])
    return Asked(str(blank["id"]), str(blank["asks"]), str(blank["answer"]),
                 int(blank["page"]), (x0, y0, x1, y1))


def faults(record: Record) -> Iterator[tuple[int, str]]:
    """(page, what is wrong) for all that the record itself shows; page 0 for none."""
    numbers = [item.number for item in record.items]
    if numbers != list(range(1, len(numbers) + 1)) or not numbers:
        yield 0, f"the items are numbered {listed(numbers)}; they must run from 1 without a gap"
    total = sum(item.points for item in record.items)
    if total != record.points:
        yield 0, f"the items' points add up to {total}, not to {record.points}"
    for item in record.items:
        names = [blank.name for blank in item.blanks]
        if names != [f"{item.number}.{place}" for place in range(1, len(names) + 1)] or not names:
            yield item.page, (f"the blanks of item {item.number} are {listed(names)}; they must "
                              f"run from {item.number}.1 without a gap")
        for blank in item.blanks:
            if blank.page != item.page:
                yield blank.page, f"blank {blank.name} is not on page {item.page}, as its item is"
    yield from _places(record)


def _places(record: Record) -> Iterator[tuple[int, str]]:
    width, height = record.size
    pages: dict[int, list[Asked]] = defaultdict(list)
    for blank in record.blanks:
        pages[blank.page].append(blank)
        x0, y0, x1, y1 = blank.rect
        if not (MARGIN - _HAIR <= x0 < x1 <= width - MARGIN + _HAIR
                and BOTTOM - _HAIR <= y0 < y1 <= height - TOP + _HAIR):
            yield blank.page, f"blank {blank.name} is not inside the margins: {blank.rect}"
    for page, blanks in pages.items():
        blanks.sort(key=lambda blank: blank.rect[0])
        for index, one in enumerate(blanks):
            for other in blanks[index + 1:]:
                apart = -_HAIR if one.drawn or other.drawn else _APART
                if other.rect[0] >= one.rect[2] + apart:
                    break
                if (other.rect[1] < one.rect[3] + apart and one.rect[1] < other.rect[3] + apart):
                    yield page, f"blanks {one.name} and {other.name} touch"


def listed(values) -> str:
    """Values for a message: ``"1, 2, 4"``, at most twelve of them."""
    shown = [str(value) for value in values]
    return ", ".join(shown[:12]) + (", …" if len(shown) > 12 else "") if shown else "none"
