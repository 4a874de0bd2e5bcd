"""A mark sheet as a teacher edits it in a spreadsheet program, and as that program saves it.

``Sheet`` is a table in hand. Every edit types *ink*: words that are nowhere else in the
studio, so that a search finds them again. Ink with a code and a column is a mark that is
where it should be; other ink only has to be kept somewhere.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

KEY_CODE = "key code"


@dataclass(frozen=True)
class Ink:
    """What was typed; with ``code`` and ``column`` it is a plain mark."""

    words: str
    code: str = ""
    column: str = ""


@dataclass
class Sheet:
    """The table, row by row, and what was typed into it. ``title`` lines stand above it."""

    rows: list[list[str]]
    rng: Random
    inks: list[Ink] = field(default_factory=list)
    above: list[list[str]] = field(default_factory=list)

    def ink(self, code: str = "", column: str = "") -> str:
        """New words to type: points, or a remark."""
        number = f"{self.rng.randint(100, 999)}{self.rng.choice(('.', ','))}{len(self.inks)}625"
        words = self.rng.choice(
            (number, number, f"{number} late", f"ask {number}", f"½ of {number}", f"’{number}")
        )
        if code:
            words = number
        self.inks.append(Ink(words, code, column))
        return words

    @property
    def body(self) -> list[list[str]]:
        return self.rows[1:]

    def place(self, column: str) -> int:
        return self.rows[0].index(column)

    def row(self) -> list[str]:
        return self.rng.choice(self.body)

    def letters(self) -> list[str]:
        """The columns for marks."""
        return [name[:-3] for name in self.rows[0] if name.endswith(" of")]

    def left(self) -> list[Ink]:
        """What was typed and is still there; a mark in a row of another code is only ink."""
        found = []
        for ink in self.inks:
            rows = [row for row in self._all if any(ink.words in cell for cell in row)]
            if rows and any(ink.code in row for row in rows):
                found.append(ink)
            elif rows:
                found.append(Ink(ink.words))
        return found

    @property
    def _all(self) -> list[list[str]]:
        return [*self.above, *self.rows]

    def mark(self, row: list[str] | None = None) -> None:
        """Type a mark where it belongs."""
        row = row or self.row()
        column = self.rng.choice(self.letters())
        if not row[self.place(column)]:
            row[self.place(column)] = self.ink(row[self.place(KEY_CODE)], column)


def opened(data: bytes, rng: Random) -> Sheet:
    """The mark sheet of a build."""
    return Sheet(list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))), rng)


def _row_twice(sheet: Sheet) -> None:
    row = sheet.row()
    copy = list(row)
    sheet.mark(row)
    if sheet.rng.random() < 0.5:
        sheet.mark(copy)
    place = sheet.rows.index(row)
    sheet.rows.insert(place + sheet.rng.randint(0, 1), copy)


def _too_far_right(sheet: Sheet) -> None:
    row, column = sheet.row(), sheet.rng.choice(sheet.letters())
    row[sheet.place(column) + 1] = sheet.ink()


def _column_twice(sheet: Sheet) -> None:
    column = sheet.rng.choice(sheet.rows[0])
    place = sheet.place(column)
    for row in sheet.rows:
        row.insert(place + 1, row[place])
    row = sheet.row()
    row[place + sheet.rng.randint(0, 1)] = sheet.ink()


def _own_column(heading: str) -> Callable[[Sheet], None]:
    def edit(sheet: Sheet) -> None:
        place = sheet.rng.randint(0, len(sheet.rows[0]))
        for number, row in enumerate(sheet.rows):
            row.insert(place, heading if number == 0 else "")
        sheet.row()[place] = sheet.ink()

    return edit


def _two_without_heading(sheet: Sheet) -> None:
    for row in sheet.rows:
        row += ["", ""]
    for place in (-1, -2):
        sheet.row()[place] = sheet.ink()


def _words_in(column: str) -> Callable[[Sheet], None]:
    def edit(sheet: Sheet) -> None:
        row = sheet.row()
        row[sheet.place(column)] += f" ({sheet.ink()})"

    return edit


def _code_gone(sheet: Sheet) -> None:
    row = sheet.row()
    row[sheet.place(KEY_CODE)] = ""
    row[sheet.place(sheet.letters()[0])] = sheet.ink()


def _code_misspelt(sheet: Sheet) -> None:
    row = sheet.row()
    row[sheet.place(KEY_CODE)] = row[sheet.place(KEY_CODE)][:-1] + "2"
    row[sheet.place(sheet.letters()[0])] = sheet.ink()


def _code_in_lower_case(sheet: Sheet) -> None:
    row = sheet.row()
    column = sheet.letters()[0]
    row[sheet.place(column)] = sheet.ink(row[sheet.place(KEY_CODE)], column)
    row[sheet.place(KEY_CODE)] = row[sheet.place(KEY_CODE)].lower()


def _points_changed(sheet: Sheet) -> None:
    row = sheet.row()
    row[sheet.place(f"{sheet.rng.choice(sheet.letters())} of")] = sheet.ink()


def _note_below(sheet: Sheet) -> None:
    sheet.rows += [[""] * len(sheet.rows[0])] * sheet.rng.randint(0, 2)
    note = [""] * len(sheet.rows[0])
    note[sheet.rng.choice((0, 1, 3, 4))] = sheet.ink()
    sheet.rows.append(note[: sheet.rng.choice((1, 4, len(note)))] if note[0] else note)


def _average_row(sheet: Sheet) -> None:
    average = [""] * len(sheet.rows[0])
    average[0] = "average"
    average[sheet.place(sheet.letters()[0])] = sheet.ink()
    sheet.rows.append(average)


def _blank_rows(sheet: Sheet) -> None:
    for _ in range(sheet.rng.randint(1, 3)):
        place = sheet.rng.randint(1, len(sheet.rows))
        sheet.rows.insert(place, [""] * len(sheet.rows[0]))


def _title_above(sheet: Sheet) -> None:
    sheet.above.append([sheet.ink(), *[""] * (len(sheet.rows[0]) - 1)])


def _headings_in_capitals(sheet: Sheet) -> None:
    sheet.rows[0] = [name.upper().replace(" OF", " Of") for name in sheet.rows[0]]


def _headings_with_spaces(sheet: Sheet) -> None:
    sheet.rows[0] = [
        f" {name}\u00a0" if sheet.rng.random() < 0.5 else name for name in sheet.rows[0]
    ]


def _heading_renamed(sheet: Sheet) -> None:
    column = sheet.rng.choice(sheet.letters())
    place = sheet.place(column)
    sheet.row()[place] = sheet.ink()
    sheet.rows[0][place] = f"{column} {sheet.ink()}"


def _sorted(sheet: Sheet) -> None:
    body = sheet.body
    sheet.rng.shuffle(body)
    sheet.rows[1:] = body


def _row_deleted(sheet: Sheet) -> None:
    sheet.rows.remove(sheet.row())


def _stray_row(sheet: Sheet) -> None:
    row = [""] * len(sheet.rows[0])
    row[0] = "Someone Else"
    row[sheet.place(sheet.letters()[0])] = sheet.ink()
    sheet.rows.append(row)


def _beyond_the_table(sheet: Sheet) -> None:
    sheet.row().extend([""] * sheet.rng.randint(0, 3) + [sheet.ink()])


def _comment_in_the_cell(sheet: Sheet) -> None:
    row, column = sheet.row(), sheet.rng.choice(sheet.letters())
    words = f'{sheet.ink()}\n"see me", please'
    row[sheet.place(column)] = words


def _formula(sheet: Sheet) -> None:
    row, column = sheet.row(), sheet.rng.choice(sheet.letters())
    row[sheet.place(column)] = "=" + sheet.ink()


EDITS: dict[str, Callable[[Sheet], None]] = {
    "marks alone": lambda sheet: None,
    "row twice": _row_twice,
    "one column too far right": _too_far_right,
    "column twice": _column_twice,
    "own column": _own_column("remark"),
    "own column ending in of": _own_column("out of"),
    "own column called of": _own_column(" of"),
    "own column without heading": _own_column(""),
    "own column named like a section": _own_column("Z"),
    "two columns without heading": _two_without_heading,
    "words in student": _words_in("student"),
    "words in workbook": _words_in("workbook"),
    "words in key code": _words_in(KEY_CODE),
    "key code gone": _code_gone,
    "key code misspelt": _code_misspelt,
    "key code in lower case": _code_in_lower_case,
    "points changed": _points_changed,
    "note below": _note_below,
    "average row": _average_row,
    "blank rows": _blank_rows,
    "title above": _title_above,
    "headings in capitals": _headings_in_capitals,
    "headings with spaces": _headings_with_spaces,
    "heading renamed": _heading_renamed,
    "sorted": _sorted,
    "row deleted": _row_deleted,
    "stray row": _stray_row,
    "beyond the table": _beyond_the_table,
    "comment in the cell": _comment_in_the_cell,
    "formula": _formula,
}
HARMLESS = {
    "marks alone",
    "own column",
    "average row",
    "blank rows",
    "headings in capitals",
    "headings with spaces",
    "sorted",
    "note below",
    "title above",
}
"""Edits that give ``check`` no reason to call the build bad."""


def edited(number: int, data: bytes) -> tuple[str, str, list[Ink], bytes]:
    """A mark sheet after marks and one kind of edit: the edit, how it was saved, what was
    typed, the bytes.
    """
    rng = Random(f"marks {number}")
    sheet = opened(data, rng)
    name = list(EDITS)[number % len(EDITS)]
    for _ in range(rng.randint(1, 4)):
        sheet.mark()
    EDITS[name](sheet)
    way, saved = _saved(rng, [*sheet.above, *sheet.rows])
    return name, way, sheet.left(), saved


def _saved(rng: Random, rows: list[list[str]]) -> tuple[str, bytes]:
    separator = rng.choice(",,,;\t")
    end = rng.choice(("\r\n", "\r\n", "\n", "\r"))
    encoding = rng.choice(("utf-8-sig", "utf-8-sig", "utf-8", "utf-16", "cp1252"))
    quoting = rng.choice((csv.QUOTE_MINIMAL, csv.QUOTE_MINIMAL, csv.QUOTE_ALL))
    named = separator != "\t" and rng.random() < 0.15
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=end, quoting=quoting).writerows(rows)
    words = f"sep={separator}{end}" * named + out.getvalue()
    way = f"{separator!r} {end!r} {encoding}" + " quoted" * bool(quoting) + " sep=" * named
    return way, words.encode(encoding)
