"""What an exercise is: notes on staves, and blanks that ask about them. Pure data.

An exercise is a row of columns read from left to right. Every staff has one
event in each column; a blank belongs to a column, and to one note of it or to
the whole chord. Some exercises have a figure in place of staves: a drawn
keyboard, the circle of fifths, a row of boxes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from random import Random
from typing import NamedTuple, TypeVar

from workbook.exercises.figures import Figure
from workbook.fingering.conventions import Conventions, traditional
from workbook.music.keys import Key
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import Pitch

Made = TypeVar("Made")

HANDS = ("right", "left", "both")
SIDES = {"right": ("right",), "left": ("left",), "both": ("right", "left")}
DRAWN = frozenset({"notes", "signature", "keys"})
"""What is answered on the music itself, with notes, a signature or shading, in no box."""


class Slot(NamedTuple):
    """The room for one column of a row of boxes, or for what is written in that column.

    ``asks`` and ``hand`` are the row's, ``column`` counts from 0.

    >>> str(Slot("finger", "right", 3))
    'finger.right.3'
    """

    asks: str
    hand: str
    column: int

    def __str__(self) -> str:
        return f"{self.asks}.{self.hand}.{self.column}"

    @classmethod
    def parse(cls, text: str) -> Slot:
        """The slot that ``str`` turned into ``text``."""
        asks, hand, column = text.split(".")
        return cls(asks, hand, int(column))


@dataclass(frozen=True)
class Event:
    """One column of a staff: pitches low to high, its clef, what follows it.

    No pitches is an empty column. ``value`` is the note value ("4", "1");
    ``after`` is "" or a bar line ("|", "||", "|."), with "break" for a bar line at
    which the line of music ends. ``written`` are those of the pitches that the
    student writes (their ``value`` must be "1"): the workbook leaves their room
    empty. ``signature`` prints a key signature before the column, which the
    student writes if ``signature_written``; ``ottava`` is 1 under an 8va line,
    2 under 15ma, -1 under 8vb: sounding octaves above what is printed.
    """

    pitches: tuple[Pitch, ...]
    clef: str
    value: str = "4"
    after: str = ""
    written: tuple[Pitch, ...] = ()
    signature: Key | None = None
    signature_written: bool = False
    ottava: int = 0


@dataclass(frozen=True)
class Staff:
    """The music of one hand: ``hand`` is "right" or "left"."""

    hand: str
    events: tuple[Event, ...]


@dataclass(frozen=True)
class Blank:
    """One place for one answer.

    ``asks`` is what is wanted (finger, chord, numeral, …, as ``engraving.rows``
    lists them), or one of DRAWN; ``hand`` the staff it stands at ("right" in a
    figure); ``note`` counts from the lowest note of the column, None for the
    whole chord; ``of`` are the pitches it is about. A ``given`` blank is printed
    with its answer in the workbook and asks nothing. ``why`` is a few words on the
    answer for whoever marks it, or "". ``versions`` are the answer here in each accepted
    whole: fingerings of a run or of one chord, in the same order at each of its notes.
    """

    asks: str
    hand: str
    column: int
    note: int | None
    of: tuple[Pitch, ...]
    answer: str
    also: tuple[str, ...] = ()
    given: bool = False
    why: str = ""
    versions: tuple[str, ...] = ()

    @cached_property
    def slot(self) -> Slot:
        """The slot that the blank stands in, alone or with others of its column."""
        return Slot(self.asks, self.hand, self.column)

    @cached_property
    def tag(self) -> str:
        """A name for the blank within its exercise: ``"finger.right.3.0"``."""
        return f"{self.slot}.{self.note or 0}"


@dataclass(frozen=True)
class Exercise:
    """One numbered item: a task, a label that names the music, staves and blanks.

    Without ``signed``, the staves begin with no key signature. ``figure`` stands
    in place of the staves. ``roomy`` keeps the distances of notes to be written,
    though none or few are; ``faded`` those of rows to be written in, though all of a row
    may be printed.
    """

    family: str
    key: Key
    hand: str
    task: str
    label: str
    staves: tuple[Staff, ...]
    blanks: tuple[Blank, ...]
    signed: bool = True
    figure: Figure | None = None
    roomy: bool = False
    faded: bool = False

    @cached_property
    def asked(self) -> tuple[Blank, ...]:
        """The blanks that are not given."""
        return tuple(blank for blank in self.blanks if not blank.given)

    def once(self, make: Callable[[Exercise], Made]) -> Made:
        """``make(self)``, which is called the first time alone: students share exercises."""
        made = self.__dict__.setdefault("_made", {})
        if make not in made:
            made[make] = make(self)
        return made[make]

    @property
    def prompt(self) -> str:
        return f"{self.label}. {self.task}"


@dataclass(frozen=True)
class Request:
    """What a template asks of a family for one exercise.

    ``ask`` are the kinds of blank; ``given`` how many blanks of each row are
    filled in as help; ``settings`` the family's own choices, one value each;
    ``ledger_lines`` the most that a note may need; ``naming`` the page's words;
    ``fingering`` the table that the answers come from.
    """

    key: Key
    hand: str
    ask: tuple[str, ...]
    given: int = 0
    ledger_lines: int = 2
    settings: dict = field(default_factory=dict)
    naming: Naming = ENGLISH
    fingering: Conventions = field(default_factory=traditional)


@dataclass(frozen=True)
class Typed:
    """A setting that the teacher words freely; iterating gives ``examples``.

    ``check`` raises ValueError with a line for each thing that is wrong in a value.
    """

    examples: tuple
    check: Callable[[object], None]

    def __iter__(self) -> Iterator:
        return iter(self.examples)


def _no_problem(settings: dict, key: Key, hand: str) -> str:
    return ""


@dataclass(frozen=True)
class Family:
    """A kind of exercise: its name in templates, what can be asked, how one is made.

    ``by`` says what a template chooses beside the key: the "hand" that plays, the
    "clef" it is read in (treble, bass, both: a request's right, left, both), or ""
    for nothing. ``problem`` says in a sentence why settings, one value each, do not
    go with a key and a hand; "" if they do.
    """

    name: str
    title: str
    asks: tuple[str, ...]
    settings: dict[str, tuple | Typed]
    make: Callable[[Request, Random], Exercise]
    by: str = "hand"
    problem: Callable[[dict, Key, str], str] = _no_problem


def give(blanks: tuple[Blank, ...], count: int, rng: Random) -> tuple[Blank, ...]:
    """``blanks`` with ``count`` columns of every row given, at least one left to ask.

    What is given decides for the fingerings of a run that have it; the others go.
    """
    if not count:
        return blanks
    rows: dict[tuple[str, str], list[int]] = {}
    for blank in blanks:
        columns = rows.setdefault((blank.asks, blank.hand), [])
        if blank.column not in columns:
            columns.append(blank.column)
    chosen = {
        row: set(rng.sample(columns, min(count, len(columns) - 1))) for row, columns in rows.items()
    }
    shown = [replace(b, given=b.column in chosen[b.asks, b.hand]) for b in blanks]
    return tuple(
        _agreeing(
            b,
            [
                other
                for other in shown
                if other.given
                and other.note is None
                and (other.asks, other.hand) == (b.asks, b.hand)
            ],
        )
        if len(b.versions) > 1
        else b
        for b in shown
    )


def _agreeing(blank: Blank, given: list[Blank]) -> Blank:
    """With those of its versions that go with the ``given`` blanks of its row."""
    kept = tuple(
        version
        for place, version in enumerate(blank.versions)
        if all(other.versions[place] == other.answer for other in given)
    )
    return replace(
        blank,
        versions=kept,
        also=tuple(other for other in blank.also if other in kept or other not in blank.versions),
    )
