"""CSV tables, however a spreadsheet program saves them.

In: the bytes of a CSV file (RFC 4180, and what programs make of it: semicolons or tabs,
a line ``sep=;`` at the top, a byte-order mark, UTF-16). Out: rows of cells, numbered as
they stand in the file, or a ``CsvFault`` that says what to do about it.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from workbook.inputs.messages import fold, has_ink

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
"""What may stand between two cells, and what it is called."""
_SAVE_AS = 'save it as "CSV UTF-8" in the spreadsheet program'
_SEPARATOR_LINE = re.compile(r'"?sep=([^\w\s"]|\t)"?[,;\t ]*(?:\r\n|\r|\n|\Z)', re.IGNORECASE)
"""The first line by which a spreadsheet program is told the separator."""


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
    """The rows of a file, the header row first; none if the file is empty."""

    separator: str
    rows: tuple[CsvRow, ...]

    @property
    def separator_name(self) -> str:
        """``semicolon``, or for an unusual one the character itself in quotes."""
        return SEPARATORS.get(self.separator, f'"{self.separator}"')


def read_csv(data: bytes, columns: Iterable[str]) -> CsvTable:
    """The table in ``data``, whose header is expected to have some of ``columns``.

    Without a ``sep=`` line, the separator is the one that gives most of these columns.
    Raises CsvFault if the file is not a CSV file in UTF-8 or UTF-16.
    """
    text = _decoded(data)
    named = _SEPARATOR_LINE.match(text)
    if named:
        text, first = text[named.end() :], 2
        separator = named[1]
    else:
        separator, first = _likeliest_separator(text, columns), 1
    empty = not has_ink("".join(set(text) - {separator, *SEPARATORS, '"'}))
    return CsvTable(separator, () if empty else tuple(_rows(text, separator, first)))


def heading(cell: str) -> str:
    """A column heading for comparing: without case or white space."""
    return "".join(fold(cell).casefold().split())


def _decoded(data: bytes) -> str:
    if fault := _other_format(data):
        raise CsvFault(fault, _SAVE_AS)
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        raise CsvFault("is not UTF-8", _SAVE_AS) from None
    if "\0" in text:  # UTF-16 or UTF-32 without the mark, or not text at all
        raise CsvFault("is not plain text in UTF-8", _SAVE_AS)
    return text


def _other_format(data: bytes) -> str:
    """What a file is that a spreadsheet program saves when it is not told to save CSV."""
    if data.startswith(b"PK\x03\x04"):  # a ZIP archive
        if b"opendocument.spreadsheet" in data[:200]:
            return "is an OpenDocument spreadsheet"
        return "is an Excel workbook" if b"xl/" in data else "is a ZIP archive"
    # the compound files in which the .xls of old programs are kept
    return "is an Excel workbook" if data.startswith(b"\xd0\xcf\x11\xe0") else ""


def _likeliest_separator(text: str, columns: Iterable[str]) -> str:
    known = set(map(heading, columns))

    def score(separator: str) -> tuple[int, int]:
        header = next((row.cells for row in _rows(text, separator, 1)), ())
        return len(set(map(heading, header)) & known), len(header)

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
        "a quotation mark is not closed, or text follows its cell",
        'write "…" around the whole cell, and "" for a quotation mark inside it',
    )
