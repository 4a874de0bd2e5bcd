"""A mark sheet as the teacher has saved it, read cell by cell.

In: the bytes of the table, perhaps with rows, columns and notes of the teacher's own, in the
encoding of an old program, its rows sorted and its columns moved. Out: every cell with ink,
under its heading, and what cannot be read.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from workbook.inputs.csv_table import CsvRow, heading, read_csv
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.marking.mark_sheet import LIMIT, NAMES, TOTAL, TableForm, read_back

STUDENT, TITLE, CODE = map(heading, NAMES)
OLD_ENCODINGS = ("cp1252", "mac_roman")
"""What spreadsheet programs on Windows and on a Mac write if they do not write UTF-8."""

_KEY_CODE = re.compile(r"(?<![0-9A-Z])([2-9A-Z]{3})\s*-\s*([2-9A-Z]{3})(?![0-9A-Z])")
_DASHES = re.compile("[\u2010-\u2015\u2212\ufe58\ufe63\uff0d]")
"""What word completion makes of a hyphen."""
_LIMIT = heading(LIMIT)
_SECTION = re.compile(r"([a-z])\1*")
_NUMBER = re.compile(r"([0-9]{1,9})(?:[.,]0+)?")


@dataclass(frozen=True)
class TableCell:
    """A cell with ink. ``column`` counts from 0, ``heading`` is its column's as printed.

    ``name`` is the heading for comparing. Both are "" in a column without one.
    """

    row: int
    column: int
    heading: str
    name: str
    text: str


@dataclass(frozen=True)
class TableRow:
    """A row with ink. ``number`` is the row number as a spreadsheet program shows it.

    ``code`` is the key code of its workbook, or "" if it is a row of the teacher's own.
    """

    number: int
    code: str
    cells: tuple[TableCell, ...]

    def first(self, name: str) -> str:
        """The first text under the heading ``name``, or ""."""
        return next((cell.text for cell in self.cells if cell.name == name), "")

    @property
    def student(self) -> str:
        return read_back(self.first(STUDENT))

    @property
    def title(self) -> str:
        return read_back(self.first(TITLE))

    def points(self) -> tuple[int, ...]:
        """The maximum points of the sections and, last, the total.

        Raises ValueError, with a sentence for the teacher, if a cell is not a number.
        """
        found: dict[str, int] = {}
        for cell in self.cells:
            column = limited(cell.name)
            if column is None:
                continue
            number = as_number(cell.text)
            if number is None:
                raise ValueError(
                    f"row {self.number}: {quoted(cell.text)} under {quoted(cell.heading)} "
                    "is not a number"
                )
            found.setdefault(column, number)
        order = sorted(found, key=lambda column: (column == TOTAL, len(column), column))
        return tuple(found[column] for column in order)


@dataclass(frozen=True)
class MarkTable:
    """The cells of a mark sheet that have ink.

    ``headings`` are the cells of the header row, ``above`` those of rows above it. ``faults``
    has a sentence for each row that cannot be read. ``guessed`` is the encoding if it is one
    of ``OLD_ENCODINGS``, which files do not name.
    """

    form: TableForm
    rows: tuple[TableRow, ...]
    headings: tuple[TableCell, ...]
    above: tuple[TableCell, ...]
    faults: tuple[str, ...]
    guessed: str = ""


def read_mark_table(data: bytes, otherwise: str = OLD_ENCODINGS[0]) -> MarkTable:
    """The cells of a mark sheet. ``otherwise`` is its encoding if it is not in Unicode.

    Raises ValueError, with a sentence for the teacher, if it is not a mark sheet.
    """
    table = read_csv(data, NAMES, otherwise)
    if not table.rows:
        raise ValueError("the table is empty")
    start = next((n for n, row in enumerate(table.rows) if _is_header(row)), None)
    if start is None:
        if table.rows[0].fault:
            raise ValueError(f"row {table.rows[0].number}: {table.rows[0].fault}")
        raise ValueError(f'there is no column "{NAMES[-1]}"')
    header = table.rows[start]
    columns = _columns(header)
    return MarkTable(
        TableForm(table.separator, table.named, table.encoding),
        tuple(_table_rows(table.rows[start + 1 :], columns)),
        tuple(_inked(header, columns)),
        tuple(cell for row in table.rows[:start] for cell in _inked(row, columns)),
        tuple(f"row {row.number}: {row.fault}" for row in table.rows if row.fault),
        table.encoding if table.encoding in OLD_ENCODINGS else "",
    )


def _is_header(row: CsvRow) -> bool:
    return any(heading(cell) == CODE for cell in row.cells if "ode" in cell.casefold())


def _columns(header: CsvRow) -> list[tuple[str, str]]:
    """Each heading as printed and for comparing."""
    printed = [fold(cell) if has_ink(cell) else "" for cell in header.cells]
    return [(cell, heading(cell)) for cell in printed]


def _table_rows(rows: Sequence[CsvRow], columns: list[tuple[str, str]]) -> Iterator[TableRow]:
    for row in rows:
        if row.fault:
            continue
        if _is_header(row):  # another table below the first: its rows have its own columns
            columns = _columns(row)
        cells = tuple(_inked(row, columns))
        yield TableRow(row.number, _code(cells), cells)


def _inked(row: CsvRow, columns: list[tuple[str, str]]) -> Iterator[TableCell]:
    for column, text in enumerate(row.cells):
        if has_ink(text):
            printed, name = columns[column] if column < len(columns) else ("", "")
            yield TableCell(row.number, column, printed, name, text)


def _code(cells: Sequence[TableCell]) -> str:
    """The only key code in the cells for it, or ""."""
    found = {
        "-".join(halves)
        for cell in cells
        if cell.name == CODE
        for halves in _KEY_CODE.findall(_DASHES.sub("-", cell.text).upper())
    }
    return found.pop() if len(found) == 1 else ""


def plain(code: str) -> str:
    """A key code as printed, whatever case, spaces and dashes it was typed with."""
    return "".join(_DASHES.sub("-", code).upper().split())


@lru_cache(maxsize=256)
def limited(name: str) -> str | None:
    """The column whose maximum points are under the heading ``name``; else None."""
    column = name.removesuffix(_LIMIT)
    return column if name.endswith(_LIMIT) and _is_mark(column) else None


def is_sections(name: str, names: Collection[str]) -> bool:
    """Whether ``name`` is one of a section's two headings, and ``names`` has them both."""
    column = limited(name) or name
    return _is_mark(column) and column in names and column + _LIMIT in names


def _is_mark(name: str) -> bool:
    """Whether marks are under the heading ``name``: a section's letter, or the total."""
    return name == TOTAL or _SECTION.fullmatch(name) is not None


def as_number(text: str) -> int | None:
    """A whole number, also as a spreadsheet program may show it ("20.00"); else None."""
    found = _NUMBER.fullmatch(text.strip())
    return int(found[1]) if found else None


def column_letters(column: int) -> str:
    """What a spreadsheet program calls a column: A, B, …, Z, AA."""
    letters = ""
    while column >= 0:
        column, letter = divmod(column, 26)
        letters, column = chr(ord("A") + letter) + letters, column - 1
    return letters
