"""The mark sheet of a studio as a CSV table: a row for each workbook, a column for each section.

In: the workbooks built, and the marks from the table of an earlier build. Out: CSV text
(RFC 4180) with an empty cell for each missing mark.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

NAMES = ("student", "workbook", "key code")
"""The columns that identify a row's workbook."""
LIMIT = " of"
"""Ends the heading of the column with a section's maximum points."""
TOTAL = "total"

_FORMULA = "-=+@\u2212\uff0b\uff0d\uff1d\uff20\ufe62\ufe63\ufe66\ufe6b"
"""Characters that make a formula of a cell they begin: also the minus sign, and the
full-width and small forms that some spreadsheet programs take for the plain ones."""
_BEGINS = r"(?:\A|(?<=[,;|:\t\r\n]))"
"""Where a cell begins, whichever separator the program that opens the table expects."""
_FORMULA_NEXT = rf"(?=[\s'\"]*[{_FORMULA}])"
_TO_ESCAPE = re.compile(_BEGINS + _FORMULA_NEXT)
_ESCAPED = re.compile(f"{_BEGINS}'{_FORMULA_NEXT}")

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


@dataclass(frozen=True)
class TableForm:
    """How a table is saved, so that the teacher's program can open the next one, too.

    ``named`` means that a first line ``sep=`` names the separator; ``encoding`` is "utf-8"
    (with a byte-order mark, by which spreadsheet programs know it) or "utf-16".
    """

    separator: str = ","
    named: bool = False
    encoding: str = "utf-8"

    def encoded(self, text: str) -> bytes:
        """The bytes of a file with ``text``."""
        return text.encode("utf-16" if self.encoding == "utf-16" else "utf-8-sig")


def section_letters(books: Iterable[Marked]) -> list[str]:
    """The section letters of the longest workbook: the columns for marks."""
    longest = max((book.sections for book in books), key=len, default=())
    return [letter for letter, _, _ in longest]


def mark_sheet(
    books: Sequence[Marked], marks: Marks = NO_MARKS, form: TableForm = TableForm()
) -> str:
    """The table as CSV text.

    Columns: student, workbook, key code. Then for each section, and for the total, the mark
    (from ``marks``, or empty) and the maximum points.
    """
    letters = section_letters(books)
    out = io.StringIO()
    if form.named:
        out.write(f"sep={form.separator}\r\n")
    table = csv.writer(out, delimiter=form.separator, lineterminator="\r\n")
    pairs = [name for column in (*letters, TOTAL) for name in (column, column + LIMIT)]
    table.writerow([*NAMES, *pairs])
    for book in books:
        table.writerow(_cells(book, letters, marks.get(book.code, {})))
    return out.getvalue()


def limits(book: Marked, letters: Iterable[str]) -> dict[str, int | str]:
    """The maximum points of ``book`` by column; "" for a section that it does not have."""
    found: dict[str, int | str] = dict.fromkeys(letters, "")
    found |= {letter: points for letter, _, points in book.sections}
    return found | {TOTAL: book.points}


def _cells(book: Marked, letters: list[str], marks: Mapping[str, str]) -> Iterator[str | int]:
    yield from (as_text(book.student), as_text(book.title), book.code)
    for column, points in limits(book, letters).items():
        yield marks.get(column, "")
        yield points


def as_text(text: str) -> str:
    """``text`` with an apostrophe wherever a spreadsheet program would begin a formula.

    That may be within ``text``, if the program takes a comma or semicolon in it for the end
    of a cell.

    >>> as_text("x;=1+1")
    "x;'=1+1"
    """
    return _TO_ESCAPE.sub("'", text)


def read_back(cell: str) -> str:
    """The text that ``as_text`` turned into ``cell``."""
    return _ESCAPED.sub("", cell)
