"""The contents of ``key.json``. Pure data; writer and reader use the same types.

A record has sections, a section has items, an item has blanks. Pitches are in scientific
notation (``F##5``; C4 is middle C), chords from low to high. Rectangles are in points (1/72
inch) from the page's lower left corner. Pages and blanks count from 1, columns from 0.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache
from typing import NamedTuple

VERSION = 2
"""The version of ``key.json`` that this program writes."""

Rect = tuple[float, float, float, float]
"""Left, bottom, right, top."""
Setting = str | int | bool
Notes = Mapping[str, tuple[tuple[str, ...], ...]]
"""The pitches of every column, by hand."""


class Marking(StrEnum):
    """The rule that turns the boxes of an item into points. See ``marking.points``."""

    SHARE = "share"
    ONE_OFF = "one off"
    ALL_OR_NOTHING = "all or nothing"


class Match(StrEnum):
    """How a typed answer is compared with an accepted one.

    TEXT ignores case. SYMBOL also ignores case, except that a lone M differs from m (M7, m7).
    CHORD and KEY are like SYMBOL, but a note letter alone means major if it is a capital and
    minor if it is small. NUMERAL: capitals mean major, small letters minor. NOTE: one note
    name, with or without an octave number. NOTES: several in any order. IN_ORDER: several in
    the order of the answer. CROSSING: a finger or a dash; an empty box counts as a dash.
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


class Blank(NamedTuple):
    """One blank for one answer.

    ``asks``, ``hand``, ``column``, ``of`` and ``why`` are those of ``exercises.model.Blank``.
    ``accept`` has other answers that are right whatever the other blanks hold (see ``Group``).
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


@dataclass(frozen=True)
class Group:
    """Blanks judged together: ``versions`` are complete fingerings of a run or a chord.

    ``blanks`` has the numbers of the blanks in the item, from 1. Each version has one answer
    for each of them, in the same order. The first version repeats the blanks' answers.
    """

    blanks: tuple[int, ...]
    versions: tuple[tuple[str, ...], ...]

    @cached_property
    def answers(self) -> tuple[tuple[str, ...], ...]:
        """For each blank its answer in each version."""
        return tuple(zip(*self.versions))


@dataclass(frozen=True)
class Item:
    """One numbered exercise.

    ``skill`` identifies the skill in every workbook. ``form`` is the form of the scale, or "".
    ``settings`` and ``given`` come from the template. ``facts`` are counts that indicate how
    hard the exercise is (see ``from_exercise.facts``).
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

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the blanks."""
        return tuple(blank.id for blank in self.blanks)

    @cached_property
    def _numbers(self) -> dict[str, int]:
        return {blank.id: number for number, blank in enumerate(self.blanks, 1)}

    @cached_property
    def _versions(self) -> dict[int, tuple[str, ...]]:
        return {
            place: answers
            for group in self.groups
            for place, answers in zip(group.blanks, group.answers)
        }

    def versions(self, blank: Blank) -> tuple[str, ...]:
        """The answer for ``blank`` in each version of its group; () if it is in no group."""
        return self._versions.get(self._numbers[blank.id], ()) if self.groups else ()

    def also(self, blank: Blank) -> tuple[str, ...]:
        """Every other answer that can be right for ``blank``, each once."""
        crossing = blank.match == Match.CROSSING
        if not (self.groups or blank.accept or crossing):
            return ()
        return _others(blank.answer, self.versions(blank), blank.accept, crossing)


@lru_cache(maxsize=4096)  # alike for all who have the exercise
def _others(
    answer: str, versions: tuple[str, ...], accept: tuple[str, ...], crossing: bool
) -> tuple[str, ...]:
    empty = ("",) if crossing and not answer.isdigit() else ()
    return tuple(other for other in dict.fromkeys((*versions, *accept, *empty)) if other != answer)


@dataclass(frozen=True)
class Section:
    """A section of the workbook: letter, title, marking rule and items."""

    letter: str
    title: str
    marking: Marking
    items: tuple[Item, ...]


@dataclass(frozen=True)
class Record:
    """A workbook.

    ``form`` is the letter of a parallel form, or "". ``code`` is the key code on its pages,
    ``points`` the sum of the items' points. ``version`` is the version of the file that was
    read. A record of version 1 has one section without a letter, no settings and no facts.
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
