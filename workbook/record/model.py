"""What ``key.json`` says of a workbook. Pure data, the same types to write and to read.

A record has sections, a section items, an item blanks. Pitches are in scientific notation
(``F##5``; C4 is middle C), chords low to high; rectangles in points (1/72 inch) from the
lower left corner of the page; pages and places count from 1, columns from 0.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import chain

VERSION = 2
"""The version of ``key.json`` that is written."""

Rect = tuple[float, float, float, float]
"""Left, bottom, right, top."""
Setting = str | int | bool
Notes = Mapping[str, tuple[tuple[str, ...], ...]]
"""For each hand the pitches of every column."""


class Marking(StrEnum):
    """How the boxes of an item become points. See ``marking.points``."""

    SHARE = "share"
    ONE_OFF = "one off"
    ALL_OR_NOTHING = "all or nothing"


class Match(StrEnum):
    """How what is typed in a blank is compared with what is accepted.

    TEXT: small and capital letters are the same. SYMBOL: so they are, but a lone M is not m
    (M7, m7). CHORD and KEY: as SYMBOL, but a note's letter alone is major if it is a capital,
    minor if it is small. NUMERAL: capitals are major, small letters minor. NOTE: one note name,
    with an octave number or without. NOTES: several, in any order. IN ORDER: several, in the
    order of the answer. CROSSING: a finger or a dash; an empty box is a dash.
    """

    TEXT = "text"
    SYMBOL = "symbol"
    CHORD = "chord"
    KEY = "key"
    NUMERAL = "numeral"
    NOTE = "note"
    NOTES = "notes"
    IN_ORDER = "notes in order"
    CROSSING = "crossing"


@dataclass(frozen=True, slots=True)
class Blank:
    """One place for one answer.

    ``asks``, ``hand``, ``column``, ``of`` and ``why`` are those of ``model.Blank``; ``accept``
    are other right answers, whatever stands in the other blanks (see ``Group``).
    """

    id: str
    asks: str
    hand: str
    column: int
    of: tuple[str, ...]
    match: Match
    answer: str
    accept: tuple[str, ...]
    why: str
    page: int
    rect: Rect


@dataclass(frozen=True, slots=True)
class Group:
    """Blanks that are right together: ``versions`` are whole fingerings of a run or a chord.

    ``blanks`` are places in the item; each version has an answer for each of them, in the same
    order. The first version has the answers of the blanks.
    """

    blanks: tuple[int, ...]
    versions: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Item:
    """One numbered exercise.

    ``skill`` names what is to be known, the same in every workbook; ``form`` is the form of the
    scale, or ""; ``settings`` and ``given`` are what the template asked for; ``facts`` are
    counts that tell how hard it is (see ``from_exercise.facts``).
    """

    number: int
    family: str
    skill: str
    key: str
    hand: str
    form: str
    settings: Mapping[str, Setting]
    given: int
    facts: Mapping[str, int]
    page: int
    points: int
    prompt: str
    notes: Notes
    groups: tuple[Group, ...]
    blanks: tuple[Blank, ...]

    @cached_property
    def _places(self) -> dict[str, int]:
        return {blank.id: place for place, blank in enumerate(self.blanks, 1)}

    @cached_property
    def _versions(self) -> dict[int, tuple[str, ...]]:
        return {
            place: answers
            for group in self.groups
            for place, answers in zip(group.blanks, zip(*group.versions))
        }

    def versions(self, blank: Blank) -> tuple[str, ...]:
        """The answer at ``blank`` in each version of its group; () if it is in none."""
        return self._versions.get(self._places[blank.id], ()) if self.groups else ()

    def also(self, blank: Blank) -> tuple[str, ...]:
        """Every other answer that can be right at ``blank``, each once."""
        empty = ("",) if blank.match == Match.CROSSING and not blank.answer.isdigit() else ()
        if not (self.groups or blank.accept or empty):
            return ()
        found = dict.fromkeys(chain(self.versions(blank), blank.accept, empty))
        return tuple(other for other in found if other != blank.answer)


@dataclass(frozen=True)
class Section:
    """A section of the workbook: its letter, its title, how it is marked."""

    letter: str
    title: str
    marking: Marking
    items: tuple[Item, ...]


@dataclass(frozen=True)
class Record:
    """A workbook. ``form`` is its letter where there are several forms, else ""; ``code`` the
    key code on its pages; ``points`` the sum of the items'. ``version`` is that of the file it
    was read from: one of version 1 has a single section without a letter, no settings and no
    facts.
    """

    student: str
    template: str
    title: str
    form: str
    seed: str
    code: str
    paper: str
    size: str
    points: int
    sections: tuple[Section, ...]
    version: int = VERSION

    @cached_property
    def items(self) -> tuple[Item, ...]:
        return tuple(item for section in self.sections for item in section.items)

    @cached_property
    def blanks(self) -> tuple[Blank, ...]:
        return tuple(blank for item in self.items for blank in item.blanks)
