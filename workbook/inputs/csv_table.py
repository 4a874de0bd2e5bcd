"""CSV tables, however a spreadsheet program saves them.

In: the bytes of a CSV file (RFC 4180, and what programs make of it: semicolons or tabs,
a line ``sep=;`` at the top, a byte-order mark, UTF-16, an older encoding). Out: rows of
cells, numbered as in the file, or a ``CsvFault`` that says what to do about it.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from workbook.inputs.messages import fold, has_ink

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
"""What may stand between two cells, and what it is called."""
_SAVE_AS = 'save it as "CSV UTF-8" in the spreadsheet program'
_SEPARATOR_LINE = re.compile(r'"?sep=([^\w\s"]|\t)"?([,;\t ]*)(?:\r\n|\r|\n|\Z)', re.IGNORECASE)
"""The first line that gives spreadsheet programs the separator."""
_HEADER_WITHIN = 20
"""Rows among which the headings are looked for: titles and notes may stand above them."""


class CsvFault(ValueError):
    """Something in a CSV file is wrong; ``what`` says what, ``instead`` what to do."""

    def __init__(self, what: str, instead: str):
        self.what, self.instead = what, instead
        super().__init__(f"{what}; {instead}")


@dataclass(frozen=True)
class CsvRow:
    """A row with at least one visible character.

    ``number`` counts from 1, empty rows included, as a spreadsheet program does. A row
    with a ``fault`` has no cells.
    """

    number: int
    cells: tuple[str, ...]
    fault: CsvFault | None = None


@dataclass(frozen=True)
class CsvTable:
    """The rows of a file, the header row first; none if the file is empty.

    ``encoding`` is how the text was read, "utf-8", "utf-16" or what ``read_csv`` was given;
    ``named`` whether the file names its separator in a ``sep=`` line.
    """

    separator: str
    rows: tuple[CsvRow, ...]
    encoding: str = "utf-8"
    named: bool = False

    @property
    def separator_name(self) -> str:
        """``semicolon``, or for an unusual one the character itself in quotes."""
        return SEPARATORS.get(self.separator, f'"{self.separator}"')


def read_csv(data: bytes, columns: Iterable[str], otherwise: str = "") -> CsvTable:
    """The table in ``data``, whose header is expected to have some of ``columns``.

    Without a ``sep=`` line, the separator is the one that gives most of these columns.
    ``otherwise`` is the encoding of a file that is neither UTF-8 nor marked as UTF-16; with
    it, UTF-16 without a byte-order mark is read, too. Raises CsvFault if the file is not a
    CSV file in one of these encodings.
    """
    text, encoding = _decoded(data, otherwise)
    line = _SEPARATOR_LINE.match(text)
    first = 1
    if line:
        text, first = text[line.end() :], 2
    if line and line[2].strip(f"{line[1]} ") == "":
        separator, named = line[1], True
    else:  # a program that took the line for a row has saved it with a separator of its own
        separator, named = _likeliest_separator(text, columns), False
    empty = not has_ink("".join(set(text) - {separator, *SEPARATORS, '"'}))
    rows = () if empty else tuple(_rows(text, separator, first))
    return CsvTable(separator, rows, encoding, named)


def heading(cell: str) -> str:
    """A column heading for comparing: without case or white space."""
    return "".join(fold(cell).casefold().split())


def _decoded(data: bytes, otherwise: str) -> tuple[str, str]:
    """The text of a file and its encoding."""
    if fault := _other_format(data):
        raise CsvFault(fault, _SAVE_AS)
    for encoding, name in _encodings(data, otherwise):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:  # or it is UTF-16 or UTF-32 without the mark, or not text at all
            return text, name
    what = "is not plain text in UTF-8" if b"\0" in data else "is not UTF-8"
    raise CsvFault(what, _SAVE_AS)


def _encodings(data: bytes, otherwise: str) -> Iterator[tuple[str, str]]:
    """The encodings to try, in order, and what each is called."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        yield "utf-16", "utf-16"
        return
    yield "utf-8-sig", "utf-8"
    if otherwise and b"\0" in data:
        # the zero bytes of plain letters tell which byte comes first
        yield "utf-16-le" if data[1:2] == b"\0" else "utf-16-be", "utf-16"
    elif otherwise:
        yield otherwise, otherwise


def _other_format(data: bytes) -> str:
    """What a file is if a spreadsheet program saved something other than CSV."""
    if data.startswith(b"PK\x03\x04"):  # a ZIP archive
        if b"opendocument.spreadsheet" in data[:200]:
            return "is an OpenDocument spreadsheet"
        return "is an Excel workbook" if b"xl/" in data else "is a ZIP archive"
    # the compound files in which the .xls of old programs are kept
    return "is an Excel workbook" if data.startswith(b"\xd0\xcf\x11\xe0") else ""


def _likeliest_separator(text: str, columns: Iterable[str]) -> str:
    known = set(map(heading, columns))

    def score(separator: str) -> tuple[int, int]:
        first = islice(_rows(text, separator, 1), _HEADER_WITHIN)
        return max(
            ((len(set(map(heading, row.cells)) & known), len(row.cells)) for row in first),
            default=(0, 0),
        )

    return max(SEPARATORS, key=score)


def _rows(text: str, separator: str, first: int) -> Iterator[CsvRow]:
    # Strict, or a quotation mark that nobody closed would swallow the rows below it.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = first - 1
    while True:
        number += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield CsvRow(number, (), _fault(error))
            continue
        if any(map(has_ink, cells)):
            yield CsvRow(number, tuple(cells))


def _fault(error: csv.Error) -> CsvFault:
    if "field larger" in str(error):
        return CsvFault(
            f"has a cell of more than {csv.field_size_limit():,} characters", "write less in it"
        )
    return CsvFault(
        "a quotation mark is not closed, or is followed by text",
        'write "…" around the whole cell, and "" for a quotation mark inside it',
    )
