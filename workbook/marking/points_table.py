"""A table of points by section, as a teacher fills in the mark sheet.

In: a CSV file as any program saves it, or an .xlsx workbook. Out: the points of each sheet by
section letter, and a sentence for each thing that does not count. What is wrong is told all at
once, with its row.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from workbook.errors import InputError
from workbook.inputs.csv_table import CsvFault, heading, read_csv
from workbook.inputs.files import MOST_BYTES
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.inputs.problem_log import ProblemLog, read_bytes

CODE, TOTAL = "key code", "total"
_KNOWN = ("student", "workbook", CODE, TOTAL)
_FRACTIONS = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
_NUMBER = re.compile(r"(\d{1,4})?(?:[.,](\d{1,3}))?\s*(½|¼|¾|1/2|1/4|3/4)?")
_LETTERS = re.compile(r"[a-z]{1,2}\Z")


@dataclass(frozen=True)
class TablePoints:
    """The points of one sheet, by section letter; ``row`` is that of the table."""

    row: int
    code: str
    points: Mapping[str, float]
    total: float | None


@dataclass(frozen=True)
class PointsTable:
    """What a table says, and sentences on what in it does not count."""

    sheets: tuple[TablePoints, ...]
    notes: tuple[str, ...]


def read_points(path: Path) -> PointsTable:
    """The points in a table. Raises InputError with every problem, by row."""
    log = ProblemLog(path.name, "row")
    rows = _rows(path, log)
    notes: list[str] = []
    head = next(
        (number for number, cells in enumerate(rows) if CODE in {heading_of(c) for c in cells}),
        None,
    )
    if head is None and not log:
        log.add(None, f'has no column "{CODE}"', "use the table of a build")
    sheets: list[TablePoints] = []
    if head is not None:
        columns = _columns(rows[head], notes)
        for number, cells in enumerate(rows[head + 1 :], head + 2):
            one = _sheet(number, cells, columns, log, notes)
            if one:
                sheets.append(one)
    codes = [one.code for one in sheets]
    for one in sheets:
        if codes.count(one.code) > 1:
            what = f"the key code {one.code} comes more than once"
            log.add(one.row, what, "keep one of its rows")
    if log:
        raise InputError(log.problems)
    return PointsTable(tuple(sheets), tuple(notes))


def heading_of(cell: str) -> str:
    """A heading for comparing; ``key code`` however it is written."""
    found = heading(cell)
    return CODE if found == heading(CODE) else found


def _columns(cells: Sequence[str], notes: list[str]) -> dict[int, str]:
    """What each column holds: CODE, TOTAL, a section letter; others are told and left out."""
    found: dict[int, str] = {}
    for place, cell in enumerate(cells):
        name = heading_of(cell)
        if name in (CODE, TOTAL):
            found[place] = name
        elif _LETTERS.match(name):
            found[place] = name.upper()
        elif has_ink(cell) and name not in map(heading, _KNOWN) and not name.endswith("of"):
            notes.append(f"the column {quoted(fold(cell))} does not count")
    return found


def _sheet(
    number: int,
    cells: Sequence[str],
    columns: Mapping[int, str],
    log: ProblemLog,
    notes: list[str],
) -> TablePoints | None:
    named = {name: fold(cells[place]) for place, name in columns.items() if place < len(cells)}
    code = named.pop(CODE, "")
    typed = {name: text for name, text in named.items() if has_ink(text)}
    if not has_ink(code):
        if any(map(has_ink, cells)):
            notes.append(f"row {number} has no key code and does not count")
        return None
    points: dict[str, float] = {}
    total = None
    for name, text in typed.items():
        value = number_in(text)
        if value is None:
            what = f"{quoted(text)} under {name} is no number of points"
            log.add(number, what, "write points such as 6, 6.5 or 6½")
        elif name == TOTAL:
            total = value
        else:
            points[name] = value
    return TablePoints(number, code, points, total)


def number_in(text: str) -> float | None:
    """Points as they are typed: ``6``, ``6.5``, ``6,5``, ``6½``, ``6 1/2``; None if none.

    >>> number_in("6 1/2")
    6.5
    """
    found = _NUMBER.fullmatch(text.strip().lstrip("'"))
    if not found or not any(found.groups()) or (found[2] and found[3]):
        return None
    value = Fraction(found[1] or 0)
    if found[2]:
        value += Fraction(int(found[2]), 10 ** len(found[2]))
    if found[3]:
        value += _FRACTIONS.get(found[3]) or Fraction(found[3])
    return float(value)


def _rows(path: Path, log: ProblemLog) -> list[Sequence[str]]:
    """All rows in order, empty ones included, so that each stands at its number."""
    data = read_bytes(path, log, MOST_BYTES)
    if data is None:
        return []
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        return _xlsx(data, log)
    try:
        table = read_csv(data, (CODE, "student", TOTAL))
    except CsvFault as fault:
        log.add(None, fault.what, fault.instead)
        return []
    rows: list[Sequence[str]] = []
    for row in table.rows:
        rows += [()] * (row.number - len(rows) - 1)
        if row.fault:
            log.add(row.number, row.fault.what, row.fault.instead)
        rows.append(row.cells)
    return rows


def _xlsx(data: bytes, log: ProblemLog) -> list[Sequence[str]]:
    import openpyxl

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        return [tuple(map(_cell, row)) for row in book.worksheets[0].iter_rows(values_only=True)]
    except Exception:  # noqa: BLE001  # openpyxl raises whatever the damage leads to
        log.add(None, "is no .xlsx workbook that can be read", "save it again, or as CSV")
        return []


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def over(points: Iterable[tuple[str, float, float]]) -> list[str]:
    """A phrase for each section with more points than it has: ``A has 7 of 6 points``."""
    return [
        f"{letter} has {got:g} of {full:g} points" for letter, got, full in points if got > full
    ]
