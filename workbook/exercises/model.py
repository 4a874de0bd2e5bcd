"""What an exercise is: notes on staves, and blanks that ask about them. Pure data.

An exercise is a row of columns read from left to right. Every staff has one
event in each column; a blank belongs to a column, and to one note of it or to
the whole chord. Some exercises have a figure in place of staves: a drawn
keyboard, the circle of fifths, a row of boxes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, NamedTuple, TypeVar

import msgspec

from workbook.exercises.figures import Figure
from workbook.exercises.settings import Settings
from workbook.fingering.conventions import Conventions
from workbook.music.keys import Key
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import Pitch

Made = TypeVar("Made")

HANDS = ("right", "left", "both")
SIDES = {"right": ("right",), "left": ("left",), "both": ("right", "left")}
DRAWN = frozenset({"notes", "signature", "keys", "value", "beams", "bars"})
"""What is answered on the music itself, with notes, a signature, shading, beams or bar lines, and
in no box."""


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


class Event(NamedTuple):
    """One column of a staff: pitches low to high, its clef, what follows it.

    A column without pitches is empty. ``value`` is the note value ("4", "1"). ``after`` is
    "" or a bar line ("|", "||", "|.", ".|:", ":|."), or "break" for a bar line that ends the
    line of music. ``written`` are the pitches that the student writes (their ``value`` must be
    "1"): the workbook leaves room for them. ``signature`` prints a key signature before the
    column, or leaves room for it if ``signature_written``. ``ottava`` is how many octaves
    higher than printed the column sounds: 1 under an 8va line, 2 under 15ma, -1 under 8vb.

    The rest is for music with a rhythm. ``value`` may have dots ("4."); a column without
    pitches may be a ``rest`` of that value. ``beam`` is "[" or "]" where a beam begins or ends,
    ``tied`` a note that is tied to the next one, ``sign`` the name of a sign at the note; where it
    ends at another, "end" follows the name there. What
    the student writes is ``pen``; of a bar line, ``pen_bar``. ``room`` keeps the room of a drawn
    answer, such as "value", which spans so many columns (``span``). ``time`` prints a time
    signature before the column ("6/8").
    """

    pitches: tuple[Pitch, ...]
    clef: str
    value: str = "4"
    after: str = ""
    written: tuple[Pitch, ...] = ()
    signature: Key | None = None
    signature_written: bool = False
    ottava: int = 0
    rest: bool = False
    beam: str = ""
    tied: bool = False
    sign: str = ""
    pen: bool = False
    pen_bar: bool = False
    room: str = ""
    span: int = 1
    time: str = ""


@dataclass(frozen=True)
class Staff:
    """The music of one hand: ``hand`` is "right" or "left".

    With ``lines`` of 1, it is a line for rhythms: its notes are B4, its clef is "percussion".
    ``stems`` shows stems, flags and beams.
    """

    hand: str
    events: tuple[Event, ...]
    lines: int = 5
    stems: bool = False


Place = tuple[str, str, int, int | None]
"""Where a blank is in its exercise: the first four values of a ``Blank``."""


class Blank(NamedTuple):
    """Room for one answer.

    ``asks`` names what is wanted, an ``AnswerKind`` of the family; ``hand`` is the staff
    that the blank belongs to ("right" in a figure). ``note`` counts from the lowest note of
    the column and is None for the whole chord; ``of`` are the pitches that the blank is
    about. A ``given`` blank is printed with its answer in the workbook and asks nothing.
    ``why`` explains the answer in a few words to whoever marks it, or is "". ``versions``
    are the answers here in each accepted fingering of the whole run or chord, in the same
    order at each of its notes.
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

    @property
    def slot(self) -> Slot:
        """The slot that the blank stands in, alone or with others of its column."""
        return _slot(self.asks, self.hand, self.column)

    @property
    def tag(self) -> str:
        """A name for the blank within its exercise: ``"finger.right.3.0"``."""
        return _tag(self[0], self[1], self[2], self[3] or 0)


# There are few of them, and many blanks.
_slot = lru_cache(maxsize=4096)(Slot)


@lru_cache(maxsize=4096)
def _tag(asks: str, hand: str, column: int, note: int) -> str:
    return f"{_slot(asks, hand, column)}.{note}"


class Once:
    """Keeps what is worked out for it: students share exercises, and a section is asked often."""

    def once(self, make: Callable[..., Made], *about: Hashable) -> Made:
        """What ``make(self, *about)`` returns; it is called only once."""
        made: dict[Any, Made] = self.__dict__.setdefault("_made", {})
        key = (make, about) if about else make
        if key not in made:
            made[key] = make(self, *about)
        return made[key]

    def forget(self, make: Callable[..., Made], *about: Hashable) -> None:
        """Discard the result that ``once`` keeps for the same arguments."""
        self.__dict__.get("_made", {}).pop((make, about) if about else make, None)


@dataclass(frozen=True)
class Exercise(Once):
    """One numbered item: a task, a label that names the music, staves and blanks.

    Without ``signed``, the staves begin with no key signature. ``figure`` stands in place
    of the staves. ``choices`` are the entries of a list under the label, numbered from 1, among
    which the answers are. ``roomy`` spaces the music as if notes were to be written, though few or
    none are; ``faded`` spaces rows as if they were to be written in, though all of a row may
    be printed.

    The family fills in what a record of the student's work needs: its own name, its
    complete ``settings``, the ``scale_form`` ("major", "natural", "harmonic", "melodic"; ""
    where none was asked for), and how many blanks of each row are ``given`` as help.
    One that is not ``keyed`` is in no key, and its ``key`` says nothing.
    """

    key: Key
    hand: str
    task: str
    label: str
    staves: tuple[Staff, ...]
    blanks: tuple[Blank, ...]
    signed: bool = True
    figure: Figure | None = None
    choices: tuple[str, ...] = ()
    roomy: bool = False
    faded: bool = False
    family: str = ""
    keyed: bool = True
    settings: Settings = field(default_factory=dict, compare=False, repr=False)
    scale_form: str = field(default="", compare=False, repr=False)
    given: int = field(default=0, compare=False, repr=False)

    @cached_property
    def music(self) -> str:
        """A digest of the staves, in hexadecimal: the same for the same music."""
        return hashlib.sha256(msgspec.json.encode(self.staves)).hexdigest()

    @cached_property
    def asked(self) -> tuple[Blank, ...]:
        """The blanks that are not given."""
        return tuple(blank for blank in self.blanks if not blank.given)

    @property
    def key_name(self) -> str:
        """The key as ``key.json`` has it: ``"C# minor"``, or "" for what is in no key."""
        return self.key.ascii if self.keyed else ""

    @property
    def prompt(self) -> str:
        return f"{self.label}{self.listed}. {self.task}"

    @property
    def listed(self) -> str:
        """The choices in words: ``": 1 C major, 2 D minor"``; "" if there are none."""
        told = ", ".join(f"{number} {choice}" for number, choice in enumerate(self.choices, 1))
        return f": {told}" if told else ""


@dataclass(frozen=True)
class Request:
    """What a template asks of a family for one exercise.

    ``ask`` names the kinds of blank; ``given`` is how many blanks of each row are filled in
    as help. ``settings`` has a value for each choice that the template makes.
    ``ledger_lines`` is the most that a note may need; ``naming`` has the page's words;
    ``fingering`` is the table that the answers come from.
    """

    key: Key
    hand: str
    ask: tuple[str, ...]
    given: int = 0
    ledger_lines: int = 2
    settings: Settings = field(default_factory=dict)
    naming: Naming = ENGLISH
    fingering: Conventions = field(kw_only=True)
