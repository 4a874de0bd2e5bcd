"""The mark sheet of a studio as a table: a row for each workbook, a column for each section.

In: what was built, and the marks that a table of an earlier build has. Out: CSV text
(RFC 4180) whose other cells wait for marks.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Marked:
    """A workbook to be marked: ``sections`` has the letter, title and points of each."""

    student: str
    title: str
    code: str
    sections: tuple[tuple[str, str, int], ...]

    @property
    def points(self) -> int:
        return sum(points for _, _, points in self.sections)


def letters(books: Iterable[Marked]) -> list[str]:
    """The letters of all sections, in their order: the columns."""
    longest = max((book.sections for book in books), key=len, default=())
    return [letter for letter, _, _ in longest]


Marks = Mapping[str, Mapping[str, str]]
"""What a teacher has typed into the table, by key code and column."""
_OURS = ("student", "workbook", "key code")


def table_rows(data: bytes) -> list[dict[str | None, str]]:
    """The rows of a table, as we write it or as a spreadsheet program has saved it. Raises
    KeyError if there is no column for the key code, ValueError and csv.Error.
    """
    text = data.decode("utf-8-sig")
    comma = max(",;\t", key=text.partition("\n")[0].count)
    table = csv.DictReader(io.StringIO(text), delimiter=comma)
    if "key code" not in (table.fieldnames or ()):
        raise KeyError("key code")
    return list(table)


def typed(data: bytes) -> Marks:
    """The marks in a table. Raises ValueError, KeyError and csv.Error."""
    return {
        row["key code"]: {
            name or "": cell
            for name, cell in row.items()
            if cell and name not in _OURS and not (name or "").endswith(" of")
        }
        for row in table_rows(data)
    }


def has_room(marks: Marks, books: Sequence[Marked]) -> bool:
    """Whether the table of ``books`` has a place for each of the marks."""
    places = {book.code: {*(letter for letter, _, _ in book.sections), "total"} for book in books}
    return all(cells.keys() <= places.get(code, set()) for code, cells in marks.items())


def mark_sheet(books: Sequence[Marked], marks: Marks = {}) -> str:
    """The table: student, workbook, key code, then for each section a cell for the mark,
    empty or with the one of ``marks``, and the points to reach, then the total.
    """
    columns = letters(books)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(
        [
            "student",
            "workbook",
            "key code",
            *(name for letter in columns for name in (letter, f"{letter} of")),
            "total",
            "total of",
        ]
    )
    for book in books:
        cells: list[str | int] = []
        own = marks.get(book.code, {})
        for place, letter in enumerate(columns):
            there = place < len(book.sections)
            cells += [own.get(letter, ""), book.sections[place][2] if there else ""]
        table.writerow(
            [
                _plain(book.student),
                _plain(book.title),
                book.code,
                *cells,
                own.get("total", ""),
                book.points,
            ]
        )
    return out.getvalue()


def _plain(words: str) -> str:
    """Text that no spreadsheet program takes for a formula."""
    return "'" + words if words[:1] in "=+-@\t\r" else words
