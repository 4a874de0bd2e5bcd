"""The roster: a CSV file with one row for each workbook, read and checked whole.

In: a CSV file as a spreadsheet program saves it (RFC 4180, with what programs
make of it: semicolons or tabs, a byte-order mark, UTF-16). Out: ``Row`` values,
or an ``InputError`` with everything wrong in the roster and its templates.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.inputs.messages import fold, has_control, seen, short, suggestion
from workbook.music.keys import Key, parse_keys
from workbook.studio.templates import Template, available, combinations, match, read_template, suits

REQUIRED = ("student", "template", "keys")
COLUMNS = (*REQUIRED, "title", "seed")
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_SAVE_AS = 'save it as "CSV UTF-8" in the spreadsheet program'
_START = f"write a header row with {', '.join(REQUIRED)}, then one row for each student"


@dataclass(frozen=True)
class Row:
    """One workbook to make: for whom, by which template, in which keys.

    ``title`` is "" and ``seed`` None where the roster leaves them empty; ``row``
    is the number that a spreadsheet shows (the header stands in row 1).
    """

    student: str
    template: Template
    keys: tuple[Key, ...]
    title: str
    seed: str | None
    row: int


Note = Callable[..., None]


def read_roster(
    path: Path | str,
    template_dir: Path | str | None = None,
    families: Mapping[str, Family] = FAMILIES,
) -> tuple[Row, ...]:
    """The rows of a roster, in its order.

    Raises InputError with every problem of the roster, then of each template it
    names.
    """
    path = Path(path)
    problems: list[Problem] = []

    def note(row: int | None, what: str, instead: str = "") -> None:
        problems.append(
            Problem(
                path.name, f"row {row}" if row else "", what + (";" if instead else ""), instead
            )
        )

    shelf = _Shelf(template_dir, families)
    text = _text(path, note)
    rows = tuple(_rows(text, shelf, note)) if text is not None else ()
    if problems or shelf.problems:
        raise InputError(problems + shelf.problems)
    return rows


class _Shelf:
    """The templates, each read once and only when a row names it."""

    def __init__(self, folder: Path | str | None, families: Mapping[str, Family]):
        self.problems: list[Problem] = []
        self.families = families
        self._read: dict[str, Template | None] = {}
        try:
            self._files = available(folder)
        except InputError as error:
            self.problems += error.problems
            self._files = None

    def template(self, name: str) -> Template | None:
        """The template, or None if it has problems. Raises ValueError as ``match`` does."""
        if self._files is None:
            return None  # which templates there are is not known: one problem, not many
        name = match(name, self._files)
        if name not in self._read:
            try:
                self._read[name] = read_template(self._files[name], self.families)
            except InputError as error:
                self.problems += error.problems
                self._read[name] = None
        return self._read[name]


def _text(path: Path, note: Note) -> str | None:
    try:
        raw = path.read_bytes()
    except OSError as error:
        note(None, f"cannot be read: {error.strerror or error}")
        return None
    wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        note(None, "is not UTF-8", _SAVE_AS)
        return None
    if "\0" in text:  # UTF-16 or UTF-32 without the mark, or no text at all
        note(None, "is not plain text in UTF-8", _SAVE_AS)
        return None
    if not seen("".join(set(text) - {*_SEPARATORS, '"'})):
        note(None, "is empty", _START)
        return None
    return text


def _rows(text: str, shelf: _Shelf, note: Note) -> Iterator[Row]:
    separator = _separator(text)
    table = _cells(text, separator, note)
    number, header = next(table)
    columns = _columns(number, header, note)
    if not columns:
        return
    number = None
    for number, cells in table:
        row = _row(number, cells, columns, len(header), separator, shelf, note)
        if row is not None:
            yield row
    if number is None:
        note(None, "has no row below the header", "write one row for each student")


def _name(cell: str) -> str:
    return "".join(fold(cell).casefold().split())


def _separator(text: str) -> str:
    """The separator under which the header line shows the most columns that we know."""

    def score(separator: str) -> tuple[int, int]:
        header = next((cells for _, cells in _cells(text, separator, lambda *_: None)), [])
        return len(set(map(_name, header)) & set(COLUMNS)), len(header)

    return max(_SEPARATORS, key=score)


def _cells(text: str, separator: str, note: Note) -> Iterator[tuple[int, list[str]]]:
    """The rows that hold anything, with the spreadsheet's row numbers.

    A row whose quotation marks are wrong is noted and comes without cells.
    """
    # Strict, or a quote that nobody closed would swallow the students below it.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 0
    while True:
        number += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            note(
                number,
                "a quotation mark is not closed, or text follows its cell",
                'write "…" round the whole cell, and "" for a quotation mark inside it',
            )
            yield number, []
            continue
        if any(map(seen, cells)):
            yield number, cells


def _columns(number: int, header: list[str], note: Note) -> dict[str, int]:
    """Where each column stands; empty when the rows cannot be read by it."""
    places: dict[str, int] = {}
    unknown = []
    for place, name in enumerate(map(_name, header)):
        if name in places:
            note(number, f'column "{name}" is there twice', "keep one of them")
        elif name in COLUMNS:
            places[name] = place
        elif seen(name):
            unknown.append(fold(header[place]))
    needed = f"the header row needs {', '.join(REQUIRED)}"
    if header and not places:
        # Most likely the first student, so the names in it are no columns.
        note(number, "is no header row", needed)
    if places:
        for name in unknown:
            note(
                number,
                f'unknown column "{short(name)}"',
                suggestion(_name(name), COLUMNS) or f"the columns are {', '.join(COLUMNS)}",
            )
        for name in REQUIRED:
            if name not in places:
                note(number, f'column "{name}" is missing', needed)
    return places


def _is_key(words: str) -> bool:
    try:
        return bool(parse_keys(words))
    except ValueError:
        return False


def _row(
    number: int,
    cells: list[str],
    columns: dict[str, int],
    width: int,
    separator: str,
    shelf: _Shelf,
    note: Note,
) -> Row | None:
    if not cells:
        return None
    if any(map(seen, cells[width:])):
        # Which cell fell apart is unknown, so the others would only mislead.
        note(
            number,
            f"has {len(cells)} cells under {width} headings",
            f"put a cell that holds a {_SEPARATORS[separator]} in quotes, "
            f'as "C major{separator} A minor"',
        )
        return None

    def cell(name: str) -> str:
        place = columns.get(name, len(cells))
        text = fold(cells[place]) if place < len(cells) else ""
        if has_control(text):
            note(number, f"{name} holds a control character", "remove it")
        return text if seen(text) else ""

    student, wanted, keys_text = cell("student"), cell("template"), cell("keys")
    title, seed = cell("title"), cell("seed")
    for name, words in (("title", title), ("seed", seed)):
        if words and _is_key(words):
            note(
                number,
                f'the {name} "{words}" is a key',
                'write all keys into one cell, with ";" between them'
                + (', or say "In ' + words + '"' if name == "title" else ""),
            )
    template, keys = None, ()
    if "student" in columns and not student:
        note(number, "student is empty", "write the student's name")
    if "template" in columns:
        try:
            template = shelf.template(wanted)
        except ValueError as error:
            note(number, str(error))
    if "keys" in columns and not keys_text and template and template.keys:
        keys = template.keys
    elif "keys" in columns:
        try:
            keys = parse_keys(keys_text)
        except ValueError as error:
            for line in str(error).split("\n"):
                note(number, line)
    if not (student and template and keys):
        return None
    for section in template.sections:
        # A key that a section cannot use is passed over; one at least must do.
        if not any(suits(section, shelf.families[section.family], key) for key in keys):
            chosen = next(combinations(section))
            why = shelf.families[section.family].problem(chosen, keys[0], section.hands[0])
            note(number, f'no key of this row suits "{section.title}" of {template.name}', why)
    return Row(student, template, keys, title, seed or None, number)
