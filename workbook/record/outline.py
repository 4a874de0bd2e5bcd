"""The essentials of a ``key.json``: skills, keys, boxes.

In: its text, which ``read_record`` has accepted before. Out: ``Outline``. It is read in a small
part of the time that a whole record takes, so that all sheets of a studio can be scanned. Its
parts refer to nothing that refers back to them, so the search for garbage leaves them out.
"""

from __future__ import annotations

from functools import cached_property

import msgspec

from workbook.record.identity import identity
from workbook.record.model import VERSION, Item, Marking, Notes
from workbook.record.reader import read_record


class OutlinedBlank(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A blank: its id, what it asks, its answer, and its page, from 1."""

    id: str
    asks: str
    answer: str
    page: int


class OutlinedItem(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """An exercise of a workbook."""

    number: int
    skill: str
    key: str
    points: int
    blanks: tuple[OutlinedBlank, ...]

    @property
    def identity(self) -> str:
        """What identifies the exercise (see ``record.identity``); "" if not asked for."""
        return ""


class OutlinedSection(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A section of a workbook: its letter and title, its rule of marking, its exercises."""

    letter: str
    title: str
    marking: Marking
    items: tuple[OutlinedItem, ...]


class Outline(msgspec.Struct, frozen=True, kw_only=True, dict=True):
    """A workbook in a few words; ``points`` is its total."""

    version: int
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


class _AnsweredBlank(OutlinedBlank, frozen=True, kw_only=True, gc=False):
    hand: str
    column: int


class _ToldItem(OutlinedItem, frozen=True, kw_only=True, gc=False):
    """An exercise that can be identified; its notes are read only then."""

    family: str
    prompt: str
    notes: msgspec.Raw
    blanks: tuple[_AnsweredBlank, ...]

    @property
    def identity(self) -> str:
        blanks = [(one.asks, one.hand, one.column, one.answer) for one in self.blanks]
        return identity(self.family, self.key, self.prompt, _NOTES.decode(self.notes), blanks)


class _ToldSection(OutlinedSection, frozen=True, kw_only=True, gc=False):
    items: tuple[_ToldItem, ...]


class _ToldOutline(Outline, frozen=True, kw_only=True, dict=True):
    sections: tuple[_ToldSection, ...]


_NOTES = msgspec.json.Decoder(Notes)
_SHORT, _TOLD = msgspec.json.Decoder(Outline), msgspec.json.Decoder(_ToldOutline)


def outline(text: str | bytes, identified: bool = False) -> Outline:
    """The outline of a workbook. If ``identified``, its exercises can be identified.

    Raises Unreadable for a faulty text.
    """
    try:
        found: Outline = (_TOLD if identified else _SHORT).decode(text)
        if found.version == VERSION:
            return found
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        pass  # read_record says what is wrong
    record = read_record(text if isinstance(text, str) else text.decode())
    sections = tuple(
        _ToldSection(
            letter=one.letter,
            title=one.title,
            marking=one.marking,
            items=tuple(map(_told, one.items)),
        )
        for one in record.sections
    )
    return _ToldOutline(version=record.version, points=record.points, sections=sections)


def _told(item: Item) -> _ToldItem:
    return _ToldItem(
        number=item.number,
        skill=item.skill,
        key=item.key,
        points=item.points,
        family=item.family,
        prompt=item.prompt,
        notes=msgspec.Raw(msgspec.json.encode(item.notes)),
        blanks=tuple(
            _AnsweredBlank(
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
