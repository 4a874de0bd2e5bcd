"""The answers of an exercise in the order of its page: systems of music, rows of boxes, columns.

In: blanks with their places on the pages, of a plan or of a record. Out: the rows of each
system from the top down, and how the answers in them are listed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Generic, NamedTuple, TypeVar

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise
from workbook.marking import accepted
from workbook.record.matching import Asked
from workbook.record.model import Rect

B = TypeVar("B", bound=Asked)
Key = tuple[str, str]
"""What a row of boxes asks, and of which hand."""


class Placed(NamedTuple, Generic[B]):
    """A blank and its rectangle, in points, on a page."""

    blank: B
    page: int
    rect: Rect


@dataclass(frozen=True)
class AnswerRow(Generic[B]):
    """A row of boxes on one system: the blanks of each column, from low to high."""

    asks: str
    hand: str
    columns: tuple[tuple[B, ...], ...]

    @property
    def key(self) -> Key:
        return self.asks, self.hand

    @property
    def blanks(self) -> list[B]:
        return [blank for column in self.columns for blank in column]


class Listing(NamedTuple, Generic[B]):
    """What a list of answers shows of an exercise: the rows of each system, and what else is
    accepted in them, a text for each row.
    """

    systems: list[list[AnswerRow[B]]]
    notes: list[str]


_Columns = dict[int, list[Placed[B]]]


def listing(
    placed: Sequence[Placed[B]], asked: Mapping[Key, Sequence[Asked]], staved: bool
) -> Listing[B]:
    """The blanks of an exercise in the order in which they are listed: that of the page.

    ``asked`` are the rows in which something is asked; others are left out.
    """
    here = [one for one in placed if (one.blank.asks, one.blank.hand) in asked]
    return Listing(systems(here, staved), _notes(asked))


def systems(placed: Sequence[Placed[B]], staved: bool) -> list[list[AnswerRow[B]]]:
    """The rows of each system of music, in the order of the page.

    A figure that is not ``staved`` is one system. So is a list of staves with one box each of one
    row. Of boxes for words, each line is one.
    """
    rows: dict[Key, _Columns[B]] = {}
    for one in placed:
        columns = rows.setdefault((one.blank.asks, one.blank.hand), {})
        columns.setdefault(one.blank.column, []).append(one)
    worded = any(KINDS[asks].worded for asks, _ in rows)
    if not staved and not worded:
        return [[_row(key, columns, sorted(columns)) for key, columns in rows.items()]]
    begins = _begins(rows)
    found: dict[int, list[tuple[float, AnswerRow[B]]]] = {}
    for key, columns in rows.items():
        parts: dict[int, list[int]] = {}
        for column in sorted(columns):
            parts.setdefault(bisect_right(begins, column), []).append(column)
        for number, part in parts.items():
            top = max(one.rect[3] for one in columns[part[0]])
            found.setdefault(number, []).append((-top, _row(key, columns, part)))
    if (
        not worded
        and len(found) > 1
        and all(
            len(part) == 1 and len(row.columns) == 1 for part in found.values() for _, row in part
        )
    ):
        return systems(placed, staved=False)
    return [
        [row for _, row in sorted(found[number], key=lambda one: one[0])]
        for number in sorted(found)
    ]


def _row(key: Key, columns: _Columns[B], part: Sequence[int]) -> AnswerRow[B]:
    return AnswerRow(*key, tuple(tuple(one.blank for one in columns[column]) for column in part))


def _begins(rows: Mapping[Key, _Columns[B]]) -> list[int]:
    """The columns with which a system begins, except the first.

    A row shows that one begins between two of its columns; the fewest that agree with all rows are
    chosen.
    """
    between = [
        (before + 1, after)
        for columns in rows.values()
        if not _level(columns)
        for (before, one), (after, other) in pairwise(
            [(column, _reach(columns[column])) for column in sorted(columns)]
        )
        if not _beside(one, other)
    ]
    found: list[int] = []
    for first, last in sorted(between, key=lambda one: one[1]):
        if not found or found[-1] < first:
            found.append(last)
    return found


def _level(columns: _Columns[B]) -> bool:
    """Whether all boxes of a row overlap in height, on one page: then they are on one line."""
    rects = [one.rect for stack in columns.values() for one in stack]
    pages = {one.page for stack in columns.values() for one in stack}
    return len(pages) == 1 and max(rect[1] for rect in rects) < min(rect[3] for rect in rects)


_Reach = tuple[int, float, float]
"""The page of a stack of boxes, and the heights of its lowest and its highest edge."""


def _beside(one: _Reach, other: _Reach) -> bool:
    """Whether two stacks of boxes overlap in height, on one page."""
    page, low, high = one
    other_page, other_low, other_high = other
    return page == other_page and low < other_high and other_low < high


def _reach(stack: list[Placed[B]]) -> _Reach:
    if len(stack) == 1:
        _, page, (_, low, _, high) = stack[0]
        return page, low, high
    return stack[0].page, min(one.rect[1] for one in stack), max(one.rect[3] for one in stack)


def named(key: Key, keys: Collection[Key]) -> str:
    """What distinguishes a row from the other ``keys`` of its exercise, "" if there are none.

    ``"chord"``, ``"note left"``; of fingers the hand says enough.
    """
    asks, hand = key
    hands = len({other for kind, other in keys if kind == asks}) > 1
    tasks = len({kind for kind, _ in keys}) > 1 and not (hands and KINDS[asks].played)
    return " ".join([asks] * tasks + [hand] * hands)


def told(row: AnswerRow[B]) -> list[tuple[str, str]]:
    """The answers of a row whose kind has a ``usual`` one, each with its place in words.

    ``[("A♭", "at note 4,"), ("", "the others OK")]``
    """
    usual = KINDS[row.asks].usual
    found = [
        (blank.answer, f"at note {blank.column + 1},")
        for column in row.columns
        for blank in column
        if blank.answer != usual
    ]
    return [*found, ("", f"{'the others' if found else 'all'} {usual}")]


def alternatives(exercise: Exercise) -> list[str]:
    """What else is accepted in each row of an exercise, with its hand if both have such a row.

    ``["right: also notes 1, 15: 2"]``
    """
    return _notes(accepted.box_rows(exercise.asked))


def _notes(rows: Mapping[Key, Sequence[Asked]]) -> list[str]:
    found = []
    for (asks, hand), row in rows.items():
        other = accepted.others(row)
        several = len({side for kind, side in rows if kind == asks}) > 1
        if other:
            found.append(f"{hand}: {other}" if several else other)
    return found
