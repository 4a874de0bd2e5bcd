"""``key.json`` read back, in version 2 and in version 1, which had no sections.

In: its text. Out: ``model.Record``. Paper and size are read as they stand.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NoReturn, TypeVar

from workbook.record.fields import Fields, Unreadable, said
from workbook.record.matching import accepted_alone, groups_of, match_of
from workbook.record.model import (
    VERSION,
    Blank,
    Group,
    Item,
    Marking,
    Match,
    Notes,
    Record,
    Section,
    Setting,
)

__all__ = ["Unreadable", "read_record"]
Choice = TypeVar("Choice", bound=StrEnum)
_REPAIR = "take the file as it was built, or build the workbook again"


def read_record(text: str) -> Record:
    """The record in the text of a ``key.json``. Raises Unreadable, and nothing else."""
    head = Fields(_loaded(text), "the file")
    version = head.count("version") if head.has("version") else 1
    if version > VERSION:
        raise Unreadable(
            f"it was written by a newer version of this program (its version is "
            f"{said(version)}, the newest known here is {VERSION}); read it with "
            "that one"
        )
    if version == 0:
        raise head.wrong("version", f"1 or {VERSION}")
    if version == 1:
        sections: tuple[Section, ...] = (
            Section(
                "",
                "",
                Marking.ONE_OFF,
                tuple(_old_item(value, place) for place, value in enumerate(head.list("items"), 1)),
            ),
        )
    else:
        sections = tuple(
            _section(value, place) for place, value in enumerate(head.list("sections"), 1)
        )
    return Record(
        head.text("student"),
        head.text("template"),
        head.text("title"),
        head.text("form"),
        head.text("seed"),
        head.text("code"),
        head.text("paper"),
        head.text("size"),
        head.count("points"),
        sections,
        version,
    )


def _loaded(text: str) -> object:
    try:
        return json.loads(text.removeprefix("\ufeff"), parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise Unreadable(
            f"line {error.lineno} is not JSON (column {error.colno}); {_REPAIR}"
        ) from None
    except ValueError:
        raise Unreadable(f"it has a number of too many digits; {_REPAIR}") from None
    except RecursionError:
        raise Unreadable(f"its brackets are nested too deeply; {_REPAIR}") from None


def _no_number(name: str) -> NoReturn:
    raise Unreadable(f"{name} stands in place of a number; {_REPAIR}")


def _section(value: object, place: int) -> Section:
    told = Fields(value, f"section {place}")
    return Section(
        told.text("letter"),
        told.text("title"),
        _choice(told, "marking", Marking),
        tuple(
            _item(one, f"item {number} of section {place}")
            for number, one in enumerate(told.list("items"), 1)
        ),
    )


def _item(value: object, what: str) -> Item:
    told = _numbered(value, what)
    blanks = tuple(
        _blank(one, f"blank {place} of {told.what}")
        for place, one in enumerate(told.list("blanks"), 1)
    )
    _no_id_twice(told, blanks)
    groups = tuple(
        _group(one, f"group {place} of {told.what}", blanks)
        for place, one in enumerate(told.list("groups") if told.has("groups") else [], 1)
    )
    places = [place for group in groups for place in group.blanks]
    if len(set(places)) < len(places):
        raise told.wrong("groups", "lists that have each blank once at most")
    return Item(
        told.count("number"),
        told.text("family"),
        told.text("skill"),
        told.text("key"),
        told.text("hand"),
        told.text("form"),
        _settings(told),
        told.count("given"),
        _facts(told),
        told.count("page"),
        told.count("points"),
        told.text("prompt"),
        _notes(told),
        groups,
        blanks,
    )


def _numbered(value: object, what: str) -> Fields:
    """The item, called by its own number from here on."""
    told = Fields(value, what)
    return Fields(value, f"item {told.count('number')}")


def _settings(told: Fields) -> Mapping[str, Setting]:
    settings = Fields(told.value("settings"), f"the settings of {told.what}")
    found: dict[str, Setting] = {}
    for name in settings.names():
        value = settings.value(name)
        if not isinstance(value, int):
            value = settings.text(name)
        found[name] = value
    return found


def _facts(told: Fields) -> Mapping[str, int]:
    facts = Fields(told.value("facts"), f"the facts of {told.what}")
    return {name: facts.count(name) for name in facts.names()}


def _notes(told: Fields) -> Notes:
    notes = Fields(told.value("notes"), f"the notes of {told.what}")
    return {hand: notes.rows(hand) for hand in notes.names()}


def _blank(value: object, what: str) -> Blank:
    told = Fields(value, what)
    return Blank(
        told.text("id"),
        told.text("asks"),
        told.text("hand"),
        told.count("column"),
        told.texts("of"),
        _choice(told, "match", Match),
        told.text("answer"),
        told.texts("accept") if told.has("accept") else (),
        told.text("why") if told.has("why") else "",
        told.count("page"),
        told.rect("rect"),
    )


def _group(value: object, what: str, blanks: tuple[Blank, ...]) -> Group:
    told = Fields(value, what)
    places, versions = told.counts("blanks"), told.rows("versions")
    if not places or not all(1 <= place <= len(blanks) for place in places):
        raise told.wrong("blanks", f"places from 1 to {len(blanks)}")
    if any(len(version) != len(places) for version in versions):
        raise told.wrong("versions", f"lists of {len(places)} answers, one for each blank")
    if versions[:1] != (tuple(blanks[place - 1].answer for place in places),):
        raise Unreadable(
            f"the first of the versions of {what} must have the answers of its blanks; {_REPAIR}"
        )
    return Group(places, versions)


def _choice(told: Fields, name: str, choices: type[Choice]) -> Choice:
    try:
        return choices(told.text(name))
    except ValueError:
        words = [f'"{choice}"' for choice in choices]
        raise told.wrong(name, f"{', '.join(words[:-1])} or {words[-1]}") from None


def _no_id_twice(told: Fields, blanks: tuple[Blank, ...]) -> None:
    ids = [blank.id for blank in blanks]
    twice = next((name for name in ids if ids.count(name) > 1), None)
    if twice is not None:
        raise Unreadable(f"blank {said(twice)} stands twice in {told.what}; {_REPAIR}")


@dataclass(frozen=True, slots=True)
class _OldBlank:
    """What version 1 said of a blank: its versions stood beside it."""

    asks: str
    hand: str
    column: int
    answer: str
    also: tuple[str, ...]
    versions: tuple[str, ...]


def _old_item(value: object, place: int) -> Item:
    told = _numbered(value, f"item {place}")
    fields = [
        Fields(one, f"blank {number} of {told.what}")
        for number, one in enumerate(told.list("blanks"), 1)
    ]
    old = [
        _OldBlank(
            one.text("asks"),
            one.text("hand"),
            one.count("column"),
            one.text("answer"),
            one.texts("also"),
            one.texts("versions") if one.has("versions") else (),
        )
        for one in fields
    ]
    blanks = tuple(
        Blank(
            one.text("id"),
            blank.asks,
            blank.hand,
            blank.column,
            one.texts("of"),
            match_of(blank.asks),
            blank.answer,
            accepted_alone(blank),
            one.text("why") if one.has("why") else "",
            one.count("page"),
            one.rect("rect"),
        )
        for one, blank in zip(fields, old, strict=True)
    )
    _no_id_twice(told, blanks)
    try:
        groups = groups_of(old)
    except ValueError:
        raise Unreadable(
            f"the versions of the blanks of {told.what} are not equally many; {_REPAIR}"
        ) from None
    family = told.text("family")
    return Item(
        told.count("number"),
        family,
        family,
        told.text("key"),
        told.text("hand"),
        "",
        {},
        0,
        {},
        told.count("page"),
        told.count("points"),
        told.text("prompt"),
        _notes(told),
        groups,
        blanks,
    )
