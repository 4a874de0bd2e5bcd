"""What a new mark sheet takes over from the teacher's old one, and what it has no place for.

In: the bytes of the old table, and the workbooks of the new one. Out: the marks, and a few
words for everything in the old table that will not be in the new one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from workbook.inputs.csv_table import heading
from workbook.inputs.messages import any_of, fold, quoted
from workbook.marking.mark_sheet import (
    NO_MARKS,
    TOTAL,
    Marked,
    Marks,
    TableForm,
    limits,
    read_back,
    section_letters,
)
from workbook.marking.mark_table import (
    CODE,
    OLD_ENCODINGS,
    STUDENT,
    TITLE,
    MarkTable,
    TableCell,
    TableRow,
    as_number,
    column_letters,
    is_sections,
    limited,
    plain,
    read_mark_table,
)

_MOST_PLACES = 4
"""Places that a message lists for one kind of thing."""

# What may be left behind, in the order in which messages name it.
_UNREAD = "rows that cannot be read"
_DIFFER = "marks of one workbook that differ, so none was kept"
_MISPLACED = "a mark under the points"
_OTHERS = "rows of other workbooks"
_COLUMNS = "columns of your own"
_NOTES = "rows of your own"
_POINTS = "changed points"
_WORDS = "changed words"
_TWICE = "rows of one workbook, combined"
_TWO_COLUMNS = "columns with the same heading, combined"
_ABOVE = "rows above the headings"
_GUESSED = "marks in an encoding that had to be guessed"
_KINDS = (
    _UNREAD,
    _DIFFER,
    _MISPLACED,
    _OTHERS,
    _COLUMNS,
    _NOTES,
    _POINTS,
    _WORDS,
    _TWICE,
    _TWO_COLUMNS,
    _ABOVE,
    _GUESSED,
)


@dataclass(frozen=True)
class Carried:
    """What a new table takes over: its marks and its form.

    ``left`` has a few words for each kind of thing that is only in the old table. If
    nothing could be read, they say why.
    """

    marks: Marks
    form: TableForm
    left: tuple[str, ...]


def carry(data: bytes, books: Sequence[Marked]) -> Carried:
    """What the mark sheet of ``books`` takes over from the old one in ``data``.

    If its encoding must be guessed, the guess is the one that leaves least behind.
    """
    found: list[tuple[int, Carried]] = []
    for encoding in OLD_ENCODINGS:
        try:
            table = read_mark_table(data, encoding)
        except ValueError as error:
            reason = f"it could not be read: {error}"
            return Carried(NO_MARKS, TableForm(), (reason,))
        transfer = _Transfer(table, books)
        found.append((transfer.count, Carried(transfer.marks, table.form, transfer.left)))
        if not table.guessed:
            break
    return min(found, key=lambda one: one[0])[1]


class _Transfer:
    """A table on its way into another: the ``marks`` that are transferred, and everything else."""

    def __init__(self, table: MarkTable, books: Sequence[Marked]):
        self._places: defaultdict[str, dict[str, None]] = defaultdict(dict)
        self._books = {book.code: book for book in books}
        self._letters = section_letters(books)
        self._columns = {heading(name): name for name in (*self._letters, TOTAL)}
        self._words = {
            STUDENT: {fold(book.student) for book in books},
            TITLE: {fold(book.title) for book in books},
        }
        self.marks: dict[str, Mapping[str, str]] = {}
        self._read(table)

    @property
    def left(self) -> tuple[str, ...]:
        """A few words for each kind of thing that is left, with its places."""
        return tuple(
            f"{kind} ({_listed(list(self._places[kind]))})"
            for kind in _KINDS
            if kind in self._places
        )

    @property
    def count(self) -> int:
        """How many things are left."""
        return sum(map(len, self._places.values()))

    def _leave(self, kind: str, place: str) -> None:
        self._places[kind][place] = None

    def _read(self, table: MarkTable) -> None:
        for fault in table.faults:
            self._leave(_UNREAD, fault)
        for cell in table.above:
            self._leave(_ABOVE, f"row {cell.row}")
        self._read_headings(table.headings)
        rows: defaultdict[str, list[TableRow]] = defaultdict(list)
        for row in table.rows:
            rows[row.code].append(row)
        for row in rows.pop("", []):
            self._leave(_NOTES, f"row {row.number}")
        for code, same in rows.items():
            if code in self._books:
                self._read_book(self._books[code], same)
            else:
                self._leave_others(same)
        if table.guessed:
            self._tell_guess()

    def _read_headings(self, cells: Sequence[TableCell]) -> None:
        names = [cell.name for cell in cells]
        for cell in cells:
            if names.count(cell.name) > 1 and self._has_place(cell.name):
                self._leave(_TWO_COLUMNS, quoted(cell.heading))
            # Both columns of a section that no workbook has any more are an earlier build's.
            elif not self._has_place(cell.name) and not is_sections(cell.name, names):
                self._leave(_COLUMNS, quoted(cell.heading))

    def _has_place(self, name: str) -> bool:
        return name in (STUDENT, TITLE, CODE) or (limited(name) or name) in self._columns

    def _read_book(self, book: Marked, rows: Sequence[TableRow]) -> None:
        """Take the marks of ``book`` from its rows; there is one, or the teacher copied it."""
        if len(rows) > 1:
            self._leave(_TWICE, _rows(row.number for row in rows))
        marks: defaultdict[str, list[TableCell]] = defaultdict(list)
        points = limits(book, self._letters)
        for row in rows:
            for cell in row.cells:
                if cell.name in self._columns:
                    marks[self._columns[cell.name]].append(cell)
                else:
                    self._compare(cell, row, book, points)
        self.marks[book.code] = {
            column: cells[0].text for column, cells in marks.items() if self._agree(cells)
        }

    def _agree(self, cells: Sequence[TableCell]) -> bool:
        texts = dict.fromkeys(fold(cell.text) for cell in cells)
        if len(texts) == 1:
            return True
        where = _rows(cell.row for cell in cells)
        what = _few([quoted(text) for text in texts])
        self._leave(_DIFFER, f"{where}: {what} under {quoted(cells[0].heading)}")
        return False

    def _compare(
        self, cell: TableCell, row: TableRow, book: Marked, points: Mapping[str, int | str]
    ) -> None:
        """Leave a cell of ``book`` that is neither a mark nor what a build writes there."""
        column = self._columns.get(limited(cell.name) or "")
        if column is not None:
            self._compare_points(cell, row, column, points[column])
        elif cell.name in (STUDENT, TITLE, CODE):
            if not _is_name(cell, book):
                self._leave(_WORDS, _place(cell))
        elif cell.heading:
            self._leave(_COLUMNS, quoted(cell.heading))
        else:
            self._leave(_COLUMNS, f"column {column_letters(cell.column)} without a heading")

    def _compare_points(
        self, cell: TableCell, row: TableRow, column: str, wanted: int | str
    ) -> None:
        if as_number(cell.text) != wanted:
            kind = _POINTS if row.first(heading(column)) else _MISPLACED
            right = f", not {wanted}" if wanted else ""
            self._leave(kind, _place(cell) + right)

    def _leave_others(self, rows: Sequence[TableRow]) -> None:
        for row in rows:
            if len(rows) > 1 or not self._is_as_built(row):
                self._leave(_OTHERS, f"row {row.number}, {row.code}")

    def _is_as_built(self, row: TableRow) -> bool:
        """Whether everything in a row of an earlier build is in the new table."""
        try:
            *sections, total = row.points()
        except ValueError:  # no number, or none at all
            return False
        names = [cell.name for cell in row.cells]
        return (
            sum(sections) == total
            and len(set(names)) == len(names)
            and all(limited(name) or name in (STUDENT, TITLE, CODE) for name in names)
            and plain(row.first(CODE)) == row.code
            and fold(row.student) in self._words[STUDENT]
            and fold(row.title) in self._words[TITLE]
        )

    def _tell_guess(self) -> None:
        for code, marks in self.marks.items():
            for text in marks.values():
                if not text.isascii():
                    self._leave(_GUESSED, f"{quoted(text)} of {code}")


def _is_name(cell: TableCell, book: Marked) -> bool:
    """Whether a cell has the student, title or key code of ``book``, as its heading says."""
    if cell.name == CODE:
        return plain(cell.text) == book.code
    return fold(read_back(cell.text)) == fold(book.student if cell.name == STUDENT else book.title)


def _place(cell: TableCell) -> str:
    return f"row {cell.row}: {quoted(cell.text)} under {quoted(cell.heading)}"


def _listed(places: Sequence[str]) -> str:
    more = len(places) - _MOST_PLACES
    return "; ".join(places[:_MOST_PLACES]) + (f"; and {more} more" if more > 0 else "")


def _few(words: Sequence[str]) -> str:
    more = len(words) - _MOST_PLACES
    return any_of([*words[:_MOST_PLACES], *([f"{more} more"] if more > 0 else [])], "and")


def _rows(numbers: Iterable[int]) -> str:
    """``row 2``, or ``rows 2 and 5``."""
    listed = [str(number) for number in dict.fromkeys(numbers)]
    return f"{'row' if len(listed) == 1 else 'rows'} {_few(listed)}"
