"""The essentials of a ``key.json``: skills, keys, boxes.

In: its text, which ``read_record`` has accepted before. Out: ``Outline``, which the record keeps
in a few words, so that all sheets of a studio can be scanned. Its parts refer to nothing that
refers back to them, so the search for garbage leaves them out.
"""

from __future__ import annotations

from functools import cached_property

import msgspec

from workbook.record.identity import identity
from workbook.record.model import VERSION, Item, Marking, Notes
from workbook.record.reader import read_record

SHAPE = 1
"""Goes up when an outline has other fields, or when ``identity`` changes: older ones that were
kept are made again.
"""


class OutlinedItem(msgspec.Struct, frozen=True, array_like=True, gc=False):
    """An exercise of a workbook.

    ``identity`` tells it from others (see ``record.identity``). Its blanks have ``ids`` and what
    each of them ``asks``; the last is on ``page``, from 1 (0 if there are none).
    """

    number: int
    skill: str
    key: str
    points: int
    identity: str
    page: int
    ids: tuple[str, ...]
    asks: tuple[str, ...]


class OutlinedSection(msgspec.Struct, frozen=True, array_like=True, gc=False):
    """A section of a workbook: its letter and title, its rule of marking, its exercises."""

    letter: str
    title: str
    marking: Marking
    items: tuple[OutlinedItem, ...]


class Outline(msgspec.Struct, frozen=True, array_like=True, dict=True):
    """A workbook in a few words; ``points`` is its total."""

    shape: int
    points: int
    sections: tuple[OutlinedSection, ...]

    @cached_property
    def items(self) -> tuple[OutlinedItem, ...]:
        """The exercises of all sections."""
        return tuple(item for section in self.sections for item in section.items)

    @property
    def pages(self) -> int:
        """The last page that has a blank; 1 if none has."""
        return max([1, *(item.page for item in self.items)])


class AnsweredBlank(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A blank with its answer."""

    id: str
    asks: str
    answer: str
    page: int
    hand: str
    column: int


class AnsweredItem(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """An exercise with the answers of its blanks."""

    number: int
    family: str
    skill: str
    key: str
    points: int
    prompt: str
    notes: msgspec.Raw
    blanks: tuple[AnsweredBlank, ...]


class _Section(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    letter: str
    title: str
    marking: Marking
    items: tuple[AnsweredItem, ...]


class _Workbook(msgspec.Struct, frozen=True, kw_only=True):
    version: int
    points: int
    sections: tuple[_Section, ...]


_NOTES, _READ = msgspec.json.Decoder(Notes), msgspec.json.Decoder(_Workbook)
_KEPT = msgspec.json.Decoder(Outline)


def outline(text: str | bytes) -> Outline:
    """The outline of a workbook. Raises Unreadable for a faulty text."""
    found = _read(text)
    return Outline(
        SHAPE,
        found.points,
        tuple(
            OutlinedSection(one.letter, one.title, one.marking, tuple(map(_outlined, one.items)))
            for one in found.sections
        ),
    )


def answered(text: str | bytes) -> tuple[AnsweredItem, ...]:
    """The exercises of a workbook with their answers. Raises Unreadable for a faulty text."""
    return tuple(item for section in _read(text).sections for item in section.items)


def kept(found: Outline) -> bytes:
    """What is kept of an outline."""
    return msgspec.json.encode(found)


def from_kept(data: bytes | None) -> Outline | None:
    """The outline that was kept; None if it was made by another version of this program."""
    try:
        found = _KEPT.decode(data or b"")
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return None
    return found if found.shape == SHAPE else None


def _outlined(item: AnsweredItem) -> OutlinedItem:
    blanks = [(one.asks, one.hand, one.column, one.answer) for one in item.blanks]
    notes = _NOTES.decode(item.notes)
    return OutlinedItem(
        item.number,
        item.skill,
        item.key,
        item.points,
        identity(item.family, item.key, item.prompt, notes, blanks),
        max((one.page for one in item.blanks), default=0),
        tuple(one.id for one in item.blanks),
        tuple(one.asks for one in item.blanks),
    )


def _read(text: str | bytes) -> _Workbook:
    try:
        found = _READ.decode(text)
        if found.version == VERSION:
            return found
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        pass  # read_record says what is wrong
    record = read_record(text if isinstance(text, str) else text.decode())
    sections = tuple(
        _Section(
            letter=one.letter,
            title=one.title,
            marking=one.marking,
            items=tuple(map(_answered, one.items)),
        )
        for one in record.sections
    )
    return _Workbook(version=record.version, points=record.points, sections=sections)


def _answered(item: Item) -> AnsweredItem:
    return AnsweredItem(
        number=item.number,
        skill=item.skill,
        key=item.key,
        points=item.points,
        family=item.family,
        prompt=item.prompt,
        notes=msgspec.Raw(msgspec.json.encode(item.notes)),
        blanks=tuple(
            AnsweredBlank(
                id=one.id,
                asks=one.asks,
                page=one.page,
                hand=one.hand,
                column=one.column,
                answer=one.answer,
            )
            for one in item.blanks
        ),
    )
