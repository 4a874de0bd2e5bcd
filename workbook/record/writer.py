"""Writes a record as JSON text: one blank to a line, always the same bytes.

In: ``model.Record``. Out: the text of ``key.json``, as ``key.schema.json`` describes it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from workbook.record.model import VERSION, Blank, Item, Record, Section

_json = json.JSONEncoder(ensure_ascii=False, check_circular=False, allow_nan=False).encode
_IN_BLANK = Blank._fields[1:-2]
_NONE: Mapping[int, Fragment] = {}


class Fragment(NamedTuple):
    """The text that all items with the same exercise share.

    Each part is members of a JSON object without braces; ``blanks`` has one for each blank.
    """

    head: str
    facts: str
    body: str
    blanks: tuple[str, ...]


def record_text(record: Record, known: Mapping[int, Fragment] | None = None) -> str:
    """The text of a record in version 2.

    ``known`` has fragments that the caller keeps, by item number; the others are made here.
    Raises ValueError for a number that JSON cannot express (NaN, infinity).
    """
    entries = {
        "version": VERSION,
        "student": record.student,
        "template": record.template,
        "title": record.title,
        "form": record.form,
        "seed": record.seed,
        "code": record.code,
        "paper": record.paper,
        "size": record.size,
        "points": record.points,
    }
    head = ",\n".join(f" {_json(name)}: {_json(value)}" for name, value in entries.items())
    sections = ",\n".join(_section(section, known or _NONE) for section in record.sections)
    return f'{{\n{head},\n "sections": [\n{sections}\n ]\n}}\n'


def fragment(item: Item) -> Fragment:
    """The text of ``item`` without what differs between workbooks.

    Left out are number, skill, form, settings, given, page, points, and the blanks' ids,
    pages and rectangles.
    """
    groups = (
        {"groups": [{"blanks": group.blanks, "versions": group.versions} for group in item.groups]}
        if item.groups
        else {}
    )
    return Fragment(
        _members({"family": item.family, "key": item.key, "hand": item.hand}),
        _members({"facts": dict(item.facts)}),
        _members({"prompt": item.prompt, "notes": dict(item.notes), **groups}),
        tuple(_blank(blank[1:-2]) for blank in item.blanks),
    )


def _members(values: Mapping[str, object]) -> str:
    """The members of a JSON object without its braces."""
    return _json(values)[1:-1]


@lru_cache(maxsize=4096)  # many exercises have blanks alike
def _blank(values: tuple[object, ...]) -> str:
    """The members of a blank; ``values`` are those from ``asks`` to ``why``."""
    named = dict(zip(_IN_BLANK, values, strict=True))
    for optional in ("accept", "why"):
        if not named[optional]:
            del named[optional]
    return _members(named)


def _section(section: Section, known: Mapping[int, Fragment]) -> str:
    head = _members({"letter": section.letter, "title": section.title, "marking": section.marking})
    items = ",\n".join(
        _item(item, known.get(item.number) or fragment(item)) for item in section.items
    )
    return f'  {{{head}, "items": [\n{items}\n  ]}}'


def _item(item: Item, text: Fragment) -> str:
    asked = _members(
        {
            "skill": item.skill,
            "form": item.form,
            "settings": dict(item.settings),
            "given": item.given,
        }
    )
    blanks = ",\n    ".join(
        f'{{"id": {_id(blank.id)}, {members}, "page": {blank.page}, "rect": {_rect(blank)}}}'
        for blank, members in zip(item.blanks, text.blanks, strict=True)
    )
    return (
        f'   {{"number": {item.number}, {text.head}, {asked}, {text.facts}, '
        f'"page": {item.page}, "points": {item.points},\n    {text.body},\n'
        f'    "blanks": [\n    {blanks}]}}'
    )


@lru_cache(maxsize=4096)  # most workbooks have the same
def _id(name: str) -> str:
    return _json(name)


def _rect(blank: Blank) -> str:
    # by hand: there are hundreds in a workbook, and an encoder call each takes four times as long
    left, bottom, right, top = blank.rect
    text = f"[{_number(left)}, {_number(bottom)}, {_number(right)}, {_number(top)}]"
    if "n" in text:
        raise ValueError(f"the rectangle of blank {blank.id} is {text}")  # NaN or infinite
    return text


_number = lru_cache(maxsize=4096, typed=True)(str)
"""The text of a number; boxes stand in rows and columns."""
