"""Reads ``key.json`` in version 2, and in version 1, which had no sections.

In: its text. Out: ``model.Record``. Paper and size are not checked.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NoReturn, TypeVar

from workbook.record.fields import Fields, Unreadable, quoted
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
_REPAIR = "use the file as it was built, or build the workbook again"


def read_record(text: str) -> Record:
    """The record in the text of a ``key.json``. Raises Unreadable for any faulty text."""
    head = Fields(_loaded(text), "the file")
    version = head.count("version") if head.has("version") else 1
    if version > VERSION:
        raise Unreadable(
            f"it was written by a newer version of this program (its version is "
            f"{quoted(version)}, the newest known here is {VERSION}); update the program to "
            "read it"
        )
    if version == 0:
        raise head.wrong("version", f"1 or {VERSION}")
    if version == 1:
        sections: tuple[Section, ...] = (
            Section(
                "",
                "",
                Marking.ONE_OFF,
                tuple(
                    _old_item(value, number) for number, value in enumerate(head.list("items"), 1)
                ),
            ),
        )
    else:
        sections = tuple(
            _section(value, number) for number, value in enumerate(head.list("sections"), 1)
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
        raise Unreadable(f"it has a number with too many digits; {_REPAIR}") from None
    except RecursionError:
        raise Unreadable(f"its brackets are nested too deeply; {_REPAIR}") from None


def _no_number(name: str) -> NoReturn:
    raise Unreadable(f"{name} is not a number; {_REPAIR}")


def _section(value: object, number: int) -> Section:
    fields = Fields(value, f"section {number}")
    return Section(
        fields.text("letter"),
        fields.text("title"),
        _choice(fields, "marking", Marking),
        tuple(
            _item(one, f"item {count} of section {number}")
            for count, one in enumerate(fields.list("items"), 1)
        ),
    )


def _item(value: object, what: str) -> Item:
    fields = _numbered(value, what)
    blanks = tuple(
        _blank(one, f"blank {number} of {fields.what}")
        for number, one in enumerate(fields.list("blanks"), 1)
    )
    _no_id_twice(fields, blanks)
    groups = tuple(
        _group(one, f"group {number} of {fields.what}", blanks)
        for number, one in enumerate(fields.list("groups") if fields.has("groups") else [], 1)
    )
    numbers = [number for group in groups for number in group.blanks]
    if len(set(numbers)) < len(numbers):
        raise fields.wrong("groups", "lists with each blank at most once")
    return Item(
        fields.count("number"),
        fields.text("family"),
        fields.text("skill"),
        fields.text("key"),
        fields.text("hand"),
        fields.text("form"),
        _settings(fields),
        fields.count("given"),
        _facts(fields),
        fields.count("page"),
        fields.count("points"),
        fields.text("prompt"),
        _notes(fields),
        groups,
        blanks,
    )


def _numbered(value: object, what: str) -> Fields:
    """The fields of an item, named by its number in messages."""
    fields = Fields(value, what)
    return Fields(value, f"item {fields.count('number')}")


def _settings(fields: Fields) -> Mapping[str, Setting]:
    settings = Fields(fields.value("settings"), f"the settings of {fields.what}")
    found: dict[str, Setting] = {}
    for name in settings.names():
        value = settings.value(name)
        if not isinstance(value, int):
            value = settings.text(name)
        found[name] = value
    return found


def _facts(fields: Fields) -> Mapping[str, int]:
    facts = Fields(fields.value("facts"), f"the facts of {fields.what}")
    return {name: facts.count(name) for name in facts.names()}


def _notes(fields: Fields) -> Notes:
    notes = Fields(fields.value("notes"), f"the notes of {fields.what}")
    return {hand: notes.rows(hand) for hand in notes.names()}


def _blank(value: object, what: str) -> Blank:
    fields = Fields(value, what)
    return Blank(
        fields.text("id"),
        fields.text("asks"),
        fields.text("hand"),
        fields.count("column"),
        fields.texts("of"),
        _choice(fields, "match", Match),
        fields.text("answer"),
        fields.texts("accept") if fields.has("accept") else (),
        fields.text("why") if fields.has("why") else "",
        fields.count("page"),
        fields.rect("rect"),
    )


def _group(value: object, what: str, blanks: tuple[Blank, ...]) -> Group:
    fields = Fields(value, what)
    numbers, versions = fields.counts("blanks"), fields.rows("versions")
    if not numbers or not all(1 <= number <= len(blanks) for number in numbers):
        raise fields.wrong("blanks", f"numbers from 1 to {len(blanks)}")
    if any(len(version) != len(numbers) for version in versions):
        raise fields.wrong("versions", f"lists of {len(numbers)} answers, one for each blank")
    if versions[:1] != (tuple(blanks[number - 1].answer for number in numbers),):
        raise Unreadable(
            f"the first version of {what} must have the answers of its blanks; {_REPAIR}"
        )
    return Group(numbers, versions)


def _choice(fields: Fields, name: str, choices: type[Choice]) -> Choice:
    try:
        return choices(fields.text(name))
    except ValueError:
        options = [f'"{choice}"' for choice in choices]
        raise fields.wrong(name, f"{', '.join(options[:-1])} or {options[-1]}") from None


def _no_id_twice(fields: Fields, blanks: tuple[Blank, ...]) -> None:
    counted = Counter(blank.id for blank in blanks)
    twice = next((name for name, count in counted.items() if count > 1), None)
    if twice is not None:
        raise Unreadable(f"blank {quoted(twice)} appears twice in {fields.what}; {_REPAIR}")


@dataclass(frozen=True, slots=True)
class _OldBlank:
    """A blank of version 1, which kept the versions with each blank."""

    asks: str
    hand: str
    column: int
    answer: str
    also: tuple[str, ...]
    versions: tuple[str, ...]


def _old_item(value: object, number: int) -> Item:
    fields = _numbered(value, f"item {number}")
    old_fields = [
        Fields(one, f"blank {number} of {fields.what}")
        for number, one in enumerate(fields.list("blanks"), 1)
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
        for one in old_fields
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
        for one, blank in zip(old_fields, old, strict=True)
    )
    _no_id_twice(fields, blanks)
    try:
        groups = groups_of(old)
    except ValueError:
        raise Unreadable(
            f"the blanks of {fields.what} have different numbers of versions; {_REPAIR}"
        ) from None
    family = fields.text("family")
    return Item(
        fields.count("number"),
        family,
        family,
        fields.text("key"),
        fields.text("hand"),
        "",
        {},
        0,
        {},
        fields.count("page"),
        fields.count("points"),
        fields.text("prompt"),
        _notes(fields),
        groups,
        blanks,
    )
