"""What estimates, plans and totals need of a sheet, in short: read in a tenth of the time.

In: a workbook record. Out: ``Outline``, and the bytes that the record keeps of it. Everything
in it follows from ``key.json``, so one that is missing, or was written by another version of
this program, is made again.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from workbook.record.identity import item_identity
from workbook.record.model import Item, Marking, Record

VERSION = 1
"""Raise it when the bytes change, or what ``item_identity`` says."""


@dataclass(frozen=True, slots=True)
class OutlineItem:
    """An exercise: ``blanks`` has the id of each blank, ``asks`` what each asks.

    ``identity`` tells it from other exercises (see ``record.identity``).
    """

    number: int
    points: int
    skill: str
    key: str
    blanks: tuple[str, ...]
    asks: tuple[str, ...]
    identity: str


@dataclass(frozen=True, slots=True)
class OutlineSection:
    """A section: its letter, its marking rule and its exercises."""

    letter: str
    marking: Marking
    items: tuple[OutlineItem, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """A sheet: its points, the last page with a blank, and its sections."""

    points: int
    pages: int
    sections: tuple[OutlineSection, ...]

    @property
    def items(self) -> Iterator[OutlineItem]:
        """The exercises of all sections."""
        return (item for section in self.sections for item in section.items)


def outline(workbook: Record) -> Outline:
    """The outline of a workbook."""
    return Outline(
        workbook.points,
        max((blank.page for blank in workbook.blanks), default=1),
        tuple(
            OutlineSection(section.letter, section.marking, tuple(map(_item, section.items)))
            for section in workbook.sections
        ),
    )


def _item(item: Item) -> OutlineItem:
    return OutlineItem(
        item.number,
        item.points,
        item.skill,
        item.key,
        tuple(blank.id for blank in item.blanks),
        tuple(blank.asks for blank in item.blanks),
        item_identity(item),
    )


def packed(one: Outline) -> bytes:
    """The outline as compressed JSON."""
    sections = [
        [section.letter, section.marking, [_row(item) for item in section.items]]
        for section in one.sections
    ]
    return zlib.compress(json.dumps([one.points, one.pages, sections]).encode(), 1)


def _row(item: OutlineItem) -> list[object]:
    asks = [[name, len(list(same))] for name, same in groupby(item.asks)]
    return [item.number, item.points, item.skill, item.key, item.blanks, asks, item.identity]


def unpacked(data: bytes) -> Outline:
    """The outline in bytes that ``packed`` made."""
    points, pages, sections = json.loads(zlib.decompress(data))
    return Outline(
        points,
        pages,
        tuple(
            OutlineSection(letter, Marking(marking), tuple(_read(*row) for row in rows))
            for letter, marking, rows in sections
        ),
    )


def _read(
    number: int,
    points: int,
    skill: str,
    key: str,
    blanks: list[str],
    asks: list[tuple[str, int]],
    identity: str,
) -> OutlineItem:
    every = tuple(name for name, count in asks for _ in range(count))
    return OutlineItem(number, points, skill, key, tuple(blanks), every, identity)
