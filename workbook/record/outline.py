"""What a ``key.json`` says of a workbook in a few words: skills, keys, boxes.

In: its text, which ``read_record`` has accepted before. Out: ``Outline``. It takes a tenth of
the time that a whole record takes, so that all sheets of a studio can be looked through.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from workbook.record.identity import identity, item_identity
from workbook.record.model import VERSION, Item, Marking
from workbook.record.reader import read_record


class OutlinedBlank(NamedTuple):
    """A blank: its id, what it asks, and its page, from 1."""

    id: str
    asks: str
    page: int


class OutlinedItem(NamedTuple):
    """An exercise of a workbook. ``identity`` is "" unless it was asked for."""

    number: int
    skill: str
    key: str
    points: int
    blanks: tuple[OutlinedBlank, ...]
    identity: str


class OutlinedSection(NamedTuple):
    """A section of a workbook: its letter and title, its rule of marking, its exercises."""

    letter: str
    title: str
    marking: Marking
    items: tuple[OutlinedItem, ...]


@dataclass(frozen=True)
class Outline:
    """A workbook in a few words; ``points`` is its total."""

    points: int
    sections: tuple[OutlinedSection, ...]

    @cached_property
    def items(self) -> tuple[OutlinedItem, ...]:
        """The exercises of all sections."""
        return tuple(item for section in self.sections for item in section.items)

    @property
    def pages(self) -> int:
        """The last page that has a blank; 1 if none has."""
        return max((blank.page for item in self.items for blank in item.blanks), default=1)


def outline(text: str, identified: bool = False) -> Outline:
    """The outline of a workbook; ``identified`` tells the exercises apart, too, which takes longer.

    Raises Unreadable for a faulty text.
    """
    try:
        read = json.loads(text)
        if read.get("version") == VERSION:
            sections = (_section(one, identified) for one in read["sections"])
            return Outline(int(read["points"]), tuple(sections))
    except (AttributeError, KeyError, TypeError, ValueError, RecursionError):
        pass  # read_record says what is wrong
    record = read_record(text)
    return Outline(
        record.points,
        tuple(
            OutlinedSection(one.letter, one.title, one.marking, tuple(map(_outlined, one.items)))
            for one in record.sections
        ),
    )


def _section(read: Mapping[str, Any], identified: bool) -> OutlinedSection:
    items = tuple(_item(one, identified) for one in read["items"])
    return OutlinedSection(read["letter"], read["title"], Marking(read["marking"]), items)


def _item(read: Mapping[str, Any], identified: bool) -> OutlinedItem:
    return OutlinedItem(
        read["number"],
        read["skill"],
        read["key"],
        read["points"],
        _blanks((blank["id"], blank["asks"], blank["page"]) for blank in read["blanks"]),
        _identity(read) if identified else "",
    )


def _identity(read: Mapping[str, Any]) -> str:
    notes = {hand: tuple(map(tuple, columns)) for hand, columns in read["notes"].items()}
    blanks = [(one["asks"], one["hand"], one["column"], one["answer"]) for one in read["blanks"]]
    return identity(read["family"], read["key"], read["prompt"], notes, blanks)


def _outlined(item: Item) -> OutlinedItem:
    blanks = _blanks((blank.id, blank.asks, blank.page) for blank in item.blanks)
    name = item_identity(item)
    return OutlinedItem(item.number, item.skill, item.key, item.points, blanks, name)


def _blanks(found: Iterable[tuple[str, str, int]]) -> tuple[OutlinedBlank, ...]:
    return tuple(map(OutlinedBlank._make, found))
