"""The mark sheet of a studio as a CSV table: a row for each workbook, a column for each section.

In: the workbooks built, and the marks from the table of an earlier build. Out: CSV text
(RFC 4180) with an empty cell for each missing mark.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from workbook.inputs.csv_table import CsvRow, heading, read_csv
from workbook.inputs.messages import fold, has_ink, plural, quoted

_NAMES = ("student", "workbook", "key code")
"""The columns that identify a row's workbook."""
_FORMULA = "=+-@\t\r"
"""First characters that make a spreadsheet program take a cell for a formula."""

Marks = Mapping[str, Mapping[str, str]]
"""The teacher's entries in the table, by key code and column."""
NO_MARKS: Marks = MappingProxyType({})


@dataclass(frozen=True)
class Marked:
    """A workbook to mark. ``sections`` has the letter, title and points of each section."""

    student: str
    title: str
    code: str
    sections: tuple[tuple[str, str, int], ...]

    @property
    def points(self) -> int:
        return sum(points for _, _, points in self.sections)


def section_letters(books: Iterable[Marked]) -> list[str]:
    """The section letters of the longest workbook: the columns for marks."""
    longest = max((book.sections for book in books), key=len, default=())
    return [letter for letter, _, _ in longest]


@dataclass(frozen=True)
class TableRow:
    """A workbook in a table. ``number`` is the row number as a spreadsheet program shows it.

    ``marks`` has the teacher's entries and ``limits`` the maximum points, both by column.
    """

    number: int
    student: str
    title: str
    code: str
    marks: Mapping[str, str]
    limits: Mapping[str, str]

    def points(self) -> tuple[int, ...]:
        """The maximum points of the sections and, last, the total.

        Raises ValueError, with a sentence for the teacher, if a cell is not a number.
        """
        for column, cell in self.limits.items():
            if not cell.strip().isdecimal():
                raise ValueError(
                    f"row {self.number}: {quoted(cell)} under {quoted(column)} is not a number"
                )
        return tuple(int(cell) for cell in self.limits.values())


def table_rows(data: bytes) -> list[TableRow]:
    """The rows of a table as written by a build or saved by a spreadsheet program.

    Raises ValueError, with a sentence for the teacher, if any content would be lost.
    """
    table = read_csv(data, _NAMES)
    if not table.rows:
        raise ValueError("the table is empty")
    header, *body = table.rows
    if header.fault:
        raise ValueError(f"row {header.number}: {header.fault}")
    columns = [fold(cell) for cell in header.cells]
    for name in _NAMES:
        if heading(name) not in map(heading, columns):
            raise ValueError(f'there is no column "{name}"')
    twice = [name for name in columns if name and columns.count(name) > 1]
    if twice:
        raise ValueError(f'column "{twice[0]}" appears twice')
    return [_table_row(row, columns) for row in body]


def _table_row(row: CsvRow, columns: list[str]) -> TableRow:
    if row.fault:
        raise ValueError(f"row {row.number}: {row.fault}")
    if any(map(has_ink, row.cells[len(columns) :])):
        counts = f"{plural(len(row.cells), 'cell')} under {plural(len(columns), 'heading')}"
        raise ValueError(f"row {row.number}: {counts}")
    cells = dict(zip(columns, row.cells))
    names = {heading(column): cell for column, cell in cells.items()}
    filled = {
        column: cell
        for column, cell in cells.items()
        if cell and heading(column) not in map(heading, _NAMES)
    }
    return TableRow(
        row.number,
        _read_back(names[heading("student")]),
        _read_back(names.get(heading("workbook"), "")),
        names.get(heading("key code"), "").strip(),
        {column: cell for column, cell in filled.items() if not column.endswith(" of")},
        {column: cell for column, cell in filled.items() if column.endswith(" of")},
    )


def read_marks(data: bytes) -> Marks:
    """The marks in a table. Raises ValueError, with a sentence, if any mark would be lost."""
    marks: dict[str, Mapping[str, str]] = {}
    for row in table_rows(data):
        if row.code in marks:
            raise ValueError(f"row {row.number}: the key code {quoted(row.code)} appears twice")
        marks[row.code] = row.marks
    return marks


def has_room(marks: Marks, books: Sequence[Marked]) -> bool:
    """Whether the table of ``books`` has a cell for every mark."""
    columns = {book.code: {*(letter for letter, _, _ in book.sections), "total"} for book in books}
    return all(cells.keys() <= columns.get(code, set()) for code, cells in marks.items())


def mark_sheet(books: Sequence[Marked], marks: Marks = NO_MARKS) -> str:
    """The table as CSV text.

    Columns: student, workbook, key code. Then for each section, and for the total, the mark
    (from ``marks``, or empty) and the maximum points.
    """
    columns = section_letters(books)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    pairs = [name for letter in columns for name in (letter, f"{letter} of")]
    table.writerow([*_NAMES, *pairs, "total", "total of"])
    for book in books:
        table.writerow(_cells(book, columns, marks.get(book.code, {})))
    return out.getvalue()


def _cells(book: Marked, columns: list[str], marks: Mapping[str, str]) -> Iterator[str | int]:
    yield from (_as_text(book.student), _as_text(book.title), book.code)
    for index, letter in enumerate(columns):
        yield marks.get(letter, "")
        yield book.sections[index][2] if index < len(book.sections) else ""
    yield from (marks.get("total", ""), book.points)


def _as_text(text: str) -> str:
    """``text`` with an apostrophe before it if a spreadsheet would take it for a formula."""
    return "'" + text if text.startswith(tuple(_FORMULA)) else text


def _read_back(cell: str) -> str:
    """The text that ``_as_text`` turned into ``cell``."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(tuple(_FORMULA)) else cell
