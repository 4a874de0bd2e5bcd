"""What the record holds, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from workbook.marking.outcome import Outcome
from workbook.record.outline import Outline


class Way(StrEnum):
    """How marks came into the record."""

    TYPED = "typed"
    TABLE = "table"
    FORM = "form"
    PAGE = "page"
    SCAN = "scan"
    PROGRAM = "program"


class SheetState(StrEnum):
    """What happened to a sheet. ``OUT`` is the state of a sheet that was built."""

    OUT = "out"
    NOT_HANDED_IN = "not handed in"
    REPLACED = "replaced"


@dataclass(frozen=True)
class Student:
    """A student; ``left_on`` is the date of leaving (YYYY-MM-DD), or ""."""

    id: int
    name: str
    left_on: str = ""
    earlier_names: tuple[str, ...] = ()


@dataclass(frozen=True)
class SetWorkbook:
    """A workbook to enter into the record.

    ``week`` is the date of the lesson that it is set in (YYYY-MM-DD), or "". ``folder`` is
    relative to the studio folder. ``key_json`` is the text of its ``key.json``. ``recipe`` is
    JSON from which it can be made again, "" if that is lost. ``reasons`` says for each section,
    by letter, why it was set.
    """

    code: str
    student: str
    title: str
    form: str
    week: str
    folder: str
    key_json: str
    recipe: str
    reasons: Mapping[str, str] = field(default_factory=dict)


class Sheet(NamedTuple):
    """A workbook in the record; ``student`` is the student's present name.

    ``built`` is a time (ISO 8601, UTC).
    """

    code: str
    student: str
    title: str
    form: str
    week: str
    folder: str
    built: str
    state: SheetState


@dataclass(frozen=True)
class Outlined:
    """A sheet with what its ``key.json`` says in a few words, its marks by blank id, and the
    points that the teacher entered, by section letter.
    """

    sheet: Sheet
    workbook: Outline
    outcomes: Mapping[str, Outcome]
    points: Mapping[str, float]


@dataclass(frozen=True)
class Mark:
    """The outcome of one blank, and what was written there if that is known."""

    outcome: Outcome
    given: str = ""


@dataclass(frozen=True)
class Marking:
    """One act of marking.

    ``marks`` is by blank id. ``points`` is by section letter; None takes back points that
    were entered before.
    """

    code: str
    way: Way
    who: str
    at: str
    marks: Mapping[str, Mark]
    points: Mapping[str, float | None]
