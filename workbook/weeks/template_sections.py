"""Sections of a template added, removed and moved; new templates.

In: a template's text and a change. Out: its new text. The lines of each section stay as they are,
with the comments that stand directly above its header.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Sequence
from typing import Any

import tomlkit

from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.inputs.messages import fold, has_ink
from workbook.studio.folder import Studio
from workbook.studio.folders import safe_name
from workbook.weeks import template_edits as edits
from workbook.weeks.toml_edits import document

_HEADER = re.compile(r"[ \t]*\[\[[ \t]*section[ \t]*\]\]")
_LINES = re.compile(r"[^\n]*\n|[^\n]+")
_COUNT, _POINTS = 4, 2
_PLAYED = {"hand": {"hands": ["right", "left"]}, "clef": {"clefs": ["treble", "bass"]}, "": {}}
"""What the template must say of a new section, by what its exercises are played or read by."""


def added(name: str, text: str, family: str, at: int | None = None) -> str:
    """The text with a new section of ``family``, the ``at``-th, counted from 0, or the last.

    Raises InputError, as all functions here do, if ``at`` is beyond the end, or if the file is
    written in a way that leaves its sections to an editor.
    """
    values: dict[str, Any] = {"family": family, **_PLAYED[FAMILIES[family].by]}
    values |= {"count": _COUNT, "points": _POINTS}
    end = _end(text)
    lines = "".join(f"{key} = {_written(value)}{end}" for key, value in values.items())

    def add(parts: list[Any], new: Any) -> list[Any]:
        place = len(parts) if at is None else at
        return [*parts[:place], new, *parts[place:]]

    return _changed(
        name,
        text,
        () if at is None else (at,),
        lambda blocks: add(blocks, f"[[section]]{end}{lines}"),
        lambda sections: add(sections, values),
        beyond=1,
    )


def removed(name: str, text: str, section: int) -> str:
    """The text without a section, counted from 0."""

    def remove(parts: list[Any]) -> list[Any]:
        return [*parts[:section], *parts[section + 1 :]]

    return _changed(name, text, (section,), remove, remove)


def moved(name: str, text: str, section: int, to: int) -> str:
    """The text with a section in another place, both counted from 0."""

    def move(parts: list[Any]) -> list[Any]:
        rest = [*parts[:section], *parts[section + 1 :]]
        return [*rest[:to], parts[section], *rest[to:]]

    return _changed(name, text, (section, to), move, move)


def headed(name: str, text: str, title: str | None, instructions: str | None = None) -> str:
    """The text of a template with another title, or other instructions; None leaves them.

    ``instructions`` has one line for each paragraph; "" removes them. Raises InputError.
    """
    if title is not None:
        text = _with(name, text, "title", title)
    if instructions is not None:
        text = _with(name, text, "instructions", "\n\n".join(instructions.splitlines()))
    return text


def _with(name: str, text: str, key: str, value: str) -> str:
    """The text with another value of a key above the sections; "" removes the key."""
    found = document(text, f"{name}.toml")
    if key in found:
        if value:
            found[key] = value
        else:
            del found[key]
        return tomlkit.dumps(found)
    if not value:
        return text
    head, blocks = _blocks(text)
    end = _end(text)
    line = f"{head.rstrip()}{end}{key} = {_written(value)}".lstrip()
    result = end.join([line, "", "".join(blocks)])
    if not _says(result, {**tomllib.loads(text), key: value}):
        raise _problem(f"{name}.toml", f"{key} cannot be added;", "change it in an editor")
    return result


def new(studio: Studio, base: str, title: str) -> str:
    """Make a template of the studio's own, a copy of ``base`` with a title; returns its name.

    Raises InputError if there is such a template, or for a title that cannot be printed, and
    OutputError.
    """
    title = " ".join(title.split())
    if not has_ink(title):
        raise _problem("the new template", "has no title;", "write one")
    name = safe_name(title, "", "template")
    known = edits.names(studio)
    if fold(name).casefold() in (fold(one).casefold() for one in known):
        raise _problem(f"{name}.toml", "is there already;", "choose another title")
    edits.keep(studio, name, headed(name, edits.text(studio, base), title))
    return name


def _changed(
    name: str,
    text: str,
    places: Sequence[int],
    change: Callable[[list[str]], list[str]],
    same: Callable[[list[Any]], list[Any]],
    beyond: int = 0,
) -> str:
    """The text with ``change`` made to the blocks of its sections, if the file then says what
    ``same`` makes of its sections, and else what it said.
    """
    file = f"{name}.toml"
    document(text, file)
    said = tomllib.loads(text)
    head, blocks = _blocks(text)
    sections, count = said.get("section", []), len(blocks)
    if not isinstance(sections, list) or len(sections) > count:
        what = "its sections do not each begin with a line [[section]];"
        raise _problem(file, what, "write one above each, in an editor")
    for place in places:
        if not 0 <= place < count + beyond:
            raise _problem(file, f"there is no section {place + 1};", f"it has {count}")
    result = _joined(head, change(blocks), _end(text))
    wanted = {**said, "section": same(sections)}
    if not wanted["section"]:
        raise _problem(file, "would have no section left;", "add another one first")
    if not _says(result, wanted):
        raise _problem(file, "its sections cannot be distinguished;", "change them in an editor")
    return result


def _says(text: str, wanted: dict[str, Any]) -> bool:
    try:
        return tomllib.loads(text) == wanted
    except tomllib.TOMLDecodeError:
        return False


def _blocks(text: str) -> tuple[str, list[str]]:
    """What comes before the first section, and the lines of each section."""
    lines = _LINES.findall(text)
    starts: list[int] = []
    for number, line in enumerate(lines):
        if _HEADER.match(line):
            first = starts[-1] + 1 if starts else 0
            while number > first and lines[number - 1].lstrip().startswith("#"):
                number -= 1  # noqa: PLW2901  (comments go with their section)
            starts.append(number)
    ends = [*starts[1:], len(lines)]
    head = lines[: starts[0]] if starts else lines
    return "".join(head), ["".join(lines[a:b]) for a, b in zip(starts, ends)]


def _joined(head: str, blocks: Sequence[str], end: str) -> str:
    """The parts as a text, with an empty line above each section."""
    text = head
    for block in blocks:
        if text and not text.endswith("\n"):
            text += end
        if text and not text.endswith(("\n\n", "\n\r\n")):
            text += end
        text += block
    return text.rstrip("\r\n") + end


def _end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _written(value: Any) -> str:
    return str(tomlkit.item(value).as_string())


def _problem(file: str, what: str, instead: str) -> InputError:
    return InputError([Problem(file, "", what, instead)])
