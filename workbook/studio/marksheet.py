"""The mark sheet of a studio as a table: a row for each workbook, a column for each section.

In: what was built. Out: CSV text (RFC 4180) whose cells wait for marks.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
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


def mark_sheet(books: Sequence[Marked]) -> str:
    """The table: student, workbook, key code, then for each section an empty cell for the
    mark and the points to reach, then the total."""
    columns = letters(books)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(["student", "workbook", "key code",
                    *(name for letter in columns for name in (letter, f"{letter} of")),
                    "total", "total of"])
    for book in books:
        cells: list[str | int] = []
        for place in range(len(columns)):
            there = place < len(book.sections)
            cells += ["", book.sections[place][2] if there else ""]
        table.writerow([_plain(book.student), _plain(book.title), book.code, *cells, "",
                        book.points])
    return out.getvalue()


def _plain(words: str) -> str:
    """Text that no spreadsheet program takes for a formula."""
    return "'" + words if words[:1] in "=+-@\t\r" else words
