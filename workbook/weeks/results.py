"""What the record says of a student, as results for the estimates.

In: an open studio and a student. Out: a result for each exercise that was marked, what was wrong
on the last sheet, and the cells that were set last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from workbook.estimates.guessing import floor_of
from workbook.estimates.results import Cell, Result, week_of
from workbook.marking.outcome import Outcome
from workbook.planning.aim import Mistake
from workbook.studio_record.model import Sheet, SheetState
from workbook.studio_record.outline import Outline, OutlineItem, OutlineSection
from workbook.weeks.studios import OpenStudio

_A_PAGE = 4.0
"""Exercises on a page, where no sheet tells."""


@dataclass(frozen=True)
class MarkedItem:
    """An exercise with marks: ``right`` of ``boxes`` marked ones."""

    code: str
    item: OutlineItem
    right: int
    boxes: int

    @property
    def cell(self) -> Cell:
        return Cell(self.item.skill, self.item.key)


@dataclass(frozen=True)
class MarkedSheet:
    """A sheet of the record with its marked exercises; none if it was never marked.

    ``outcomes`` are by blank id. ``entered`` has points that the teacher gave, by section
    letter.
    """

    sheet: Sheet
    outline: Outline
    items: tuple[MarkedItem, ...]
    outcomes: Mapping[str, Outcome]
    entered: Mapping[str, float]

    @property
    def week(self) -> float:
        return week_of(date.fromisoformat(self.sheet.week or self.sheet.built[:10]))

    @property
    def cells(self) -> frozenset[Cell]:
        """The cells that the sheet sets."""
        return frozenset(Cell(item.skill, item.key) for item in self.outline.items)

    @property
    def mistakes(self) -> list[Mistake]:
        """The exercises in which not all was right."""
        return [
            Mistake(one.cell, one.right, one.boxes) for one in self.items if one.right < one.boxes
        ]


def marked_sheets(studio: OpenStudio, student: str) -> list[MarkedSheet]:
    """The sheets of a student that were not replaced, in the order of their weeks."""
    record = studio.record
    outlines = record.outlines(student)
    found = []
    for sheet in record.sheets(student):
        outcomes = record.outcomes(sheet.code)
        if sheet.state != SheetState.REPLACED or outcomes:
            outline, entered = outlines[sheet.code], record.points(sheet.code)
            items = tuple(_items(sheet.code, outline, outcomes, entered))
            found.append(MarkedSheet(sheet, outline, items, outcomes, entered))
    return sorted(found, key=lambda one: one.week)


def results(sheets: Iterable[MarkedSheet]) -> list[Result]:
    """A result for each marked exercise."""
    return [
        Result(
            sheet.week,
            one.cell,
            one.right,
            one.boxes,
            floor_of(one.item.asks),
        )
        for sheet in sheets
        for one in sheet.items
    ]


def on_a_page(sheets: Sequence[MarkedSheet]) -> float:
    """The exercises on a page of the last written sheet, or a usual number."""
    for sheet in reversed(sheets):
        items = list(sheet.outline.items)
        if items and not items[0].skill.startswith("played/"):
            return max(len(items) / sheet.outline.pages, 1.0)
    return _A_PAGE


def last_marked(sheets: Sequence[MarkedSheet]) -> MarkedSheet | None:
    """The last sheet with a mark, or None."""
    return next((sheet for sheet in reversed(sheets) if sheet.items), None)


def _items(
    code: str, outline: Outline, outcomes: Mapping[str, Outcome], entered: Mapping[str, float]
) -> Iterator[MarkedItem]:
    for section in outline.sections:
        for item in section.items:
            found = [outcomes.get(blank, Outcome.NOT_MARKED) for blank in item.blanks]
            marked = len(found) - found.count(Outcome.NOT_MARKED)
            if marked:
                yield MarkedItem(code, item, found.count(Outcome.RIGHT), marked)
            elif section.letter in entered and item.blanks:
                yield _by_points(code, section, item, entered[section.letter])


def _by_points(code: str, section: OutlineSection, item: OutlineItem, points: float) -> MarkedItem:
    """An exercise of a section of which only the points are known: each gets its share."""
    full = sum(one.points for one in section.items)
    share = min(max(points / full, 0.0), 1.0) if full else 1.0
    return MarkedItem(code, item, round(share * len(item.blanks)), len(item.blanks))
