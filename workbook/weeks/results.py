"""What the record says about a student, as results for the estimates.

In: an open studio and a student. Out: a result for each exercise that was marked, what was wrong
on the last sheet, and the cells that were set last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property, partial
from typing import NamedTuple

from workbook.estimates.guessing import floor_of
from workbook.estimates.results import Cell, Result, week_of
from workbook.marking.outcome import Outcome
from workbook.planning.aim import Mistake
from workbook.record.outline import Outline, OutlinedItem, OutlinedSection
from workbook.studio_record.model import Sheet
from workbook.weeks.marks import sheet_points
from workbook.weeks.studios import OpenStudio

_A_PAGE = 4.0
"""Exercises on a page, where no sheet tells."""


class MarkedItem(NamedTuple):
    """An exercise with marks: ``right`` of ``boxes`` marked ones."""

    code: str
    item: OutlinedItem
    right: int
    boxes: int

    @property
    def cell(self) -> Cell:
        return Cell(self.item.skill, self.item.key)


@dataclass(frozen=True)
class MarkedSheet:
    """A sheet of the record with its marked exercises; none if it was never marked."""

    sheet: Sheet
    workbook: Outline
    items: tuple[MarkedItem, ...]
    _added_up: Callable[[], float | None]

    @cached_property
    def points(self) -> float | None:
        """The points of the sheet; None while boxes are not marked."""
        return self._added_up() if self.items else None

    @property
    def week(self) -> float:
        return week_of(date.fromisoformat(self.sheet.week or self.sheet.built[:10]))

    @property
    def cells(self) -> frozenset[Cell]:
        """The cells that the sheet sets."""
        return frozenset(Cell(item.skill, item.key) for item in self.workbook.items)

    @property
    def mistakes(self) -> list[Mistake]:
        """The exercises with a box that was not right."""
        return [
            Mistake(one.cell, one.right, one.boxes) for one in self.items if one.right < one.boxes
        ]


def marked_sheets(studio: OpenStudio, student: str) -> list[MarkedSheet]:
    """The sheets of a student that were not replaced, in the order of their weeks."""
    found = []
    for one in studio.record.outlined(student):
        items = tuple(_items(one.sheet.code, one.workbook, one.outcomes, one.points))
        total = partial(sheet_points, studio, one.workbook, one.outcomes, one.points)
        found.append(MarkedSheet(one.sheet, one.workbook, items, total))
    return sorted(found, key=lambda one: one.week)


def results(sheets: Iterable[MarkedSheet]) -> list[Result]:
    """A result for each marked exercise."""
    return [
        Result(
            week,
            one.cell,
            one.right,
            one.boxes,
            floor_of(one.item.asks),
        )
        for sheet in sheets
        for week in (sheet.week,)
        for one in sheet.items
    ]


def on_a_page(sheets: Sequence[MarkedSheet]) -> float:
    """The exercises on a page of the last written sheet, or a usual number."""
    for sheet in reversed(sheets):
        items = sheet.workbook.items
        if items and not items[0].skill.startswith("played/"):
            return max(len(items) / sheet.workbook.pages, 1.0)
    return _A_PAGE


def last_marked(sheets: Sequence[MarkedSheet]) -> MarkedSheet | None:
    """The last sheet with a mark, or None."""
    return next((sheet for sheet in reversed(sheets) if sheet.items), None)


def _items(
    code: str, workbook: Outline, outcomes: Mapping[str, Outcome], points: Mapping[str, float]
) -> Iterator[MarkedItem]:
    for section in workbook.sections:
        for item in section.items:
            found = list(map(outcomes.get, item.ids))
            marked = len(found) - found.count(None) - found.count(Outcome.NOT_MARKED)
            if marked:
                yield MarkedItem(code, item, found.count(Outcome.RIGHT), marked)
            elif section.letter in points and item.ids:
                yield _by_points(code, section, item, points[section.letter])


def _by_points(
    code: str, section: OutlinedSection, item: OutlinedItem, points: float
) -> MarkedItem:
    """An exercise of a section of which only the points are known: each gets its share."""
    full = sum(one.points for one in section.items)
    share = min(max(points / full, 0.0), 1.0) if full else 1.0
    return MarkedItem(code, item, round(share * len(item.ids)), len(item.ids))
