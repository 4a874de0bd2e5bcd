"""A table of points by section, as a teacher fills in the mark sheet.

In: a CSV file as any program saves it, or an .xlsx workbook. Out: the points of each sheet by
section letter, and a sentence for each thing that does not count. All problems are reported at
once, with their rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from workbook.errors import InputError
from workbook.inputs.csv_table import CsvFault, heading, read_csv
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.inputs.problem_log import ProblemLog, read_bytes
from workbook.inputs.xlsx_table import MOST_COLUMNS, MOST_ROWS, TOO_LARGE, XlsxFault, read_xlsx
from workbook.marking.mark_table import OLD_ENCODINGS, limited

CODE, TOTAL = "key code", "total"
_KNOWN = ("student", "workbook", CODE, TOTAL)
_FRACTIONS = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
_NUMBER = re.compile(r"(\d{1,4})?(?:[.,](\d{1,3}))?\s*(½|¼|¾|1/2|1/4|3/4)?")
_SECTION = re.compile(r"([a-z])\1*")
_MOST_BYTES = 10_000_000
"""A table of a thousand sheets has a hundredth."""


@dataclass(frozen=True)
class _Column:
    """A section's letter, CODE or TOTAL; ``full`` if it says how many points there are.

    "" if nothing in the column counts.
    """

    name: str
    full: bool = False


@dataclass(frozen=True)
class TablePoints:
    """The points of one sheet, by section letter; ``row`` is that of the table.

    ``full`` has the maximum points that the table gives, including TOTAL.
    """

    row: int
    code: str
    points: Mapping[str, float]
    total: float | None
    full: Mapping[str, float]


@dataclass(frozen=True)
class PointsTable:
    """What a table says, sentences about entries that do not count, and what is wrong in it."""

    sheets: tuple[TablePoints, ...]
    notes: tuple[str, ...]
    log: ProblemLog


def read_points(path: Path) -> PointsTable:
    """The points in a table. Raises InputError for any other file."""
    log = ProblemLog(path.name, "row")
    rows = _rows(path, log)
    head = next(
        (number for number, cells in enumerate(rows) if CODE in map(heading_of, cells)), None
    )
    if head is None:
        if not log:
            log.add(None, f'has no column "{CODE}"', "use the table of a build")
        raise InputError(log.problems)
    notes: list[str] = []
    columns = _columns(rows[head], head + 1, log, notes)
    sheets: list[TablePoints] = []
    for number, cells in enumerate(rows[head + 1 :], head + 2):
        if one := _sheet(number, cells, columns, log, notes):
            sheets.append(one)
    return PointsTable(tuple(sheets), tuple(notes), log)


def heading_of(cell: str) -> str:
    """A heading for comparing; ``key code`` however it is written."""
    found = heading(cell)
    return CODE if found == heading(CODE) else found


def _columns(
    cells: Sequence[str], row: int, log: ProblemLog, notes: list[str]
) -> dict[int, _Column]:
    """What each column with a heading holds."""
    found: dict[int, _Column] = {}
    names = set(map(heading_of, cells))
    for place, cell in enumerate(cells):
        name = heading_of(cell)
        full = limited(name)
        if name in (CODE, TOTAL) or _SECTION.fullmatch(name):
            column = _Column(name if name in (CODE, TOTAL) else name.upper())
        elif full in names:
            column = _Column(full if full == TOTAL else full.upper(), full=True)
        elif name in map(heading, _KNOWN):
            column = _Column("")
        elif not has_ink(cell):
            continue
        else:
            notes.append(f"the column {quoted(fold(cell))} does not count")
            column = _Column("")
        if column.name and column in found.values():
            what = f"the column {quoted(fold(cell))} appears more than once"
            log.add(row, what, "keep the one with the points")
        found[place] = column
    return found


def _sheet(
    number: int,
    cells: Sequence[str],
    columns: Mapping[int, _Column],
    log: ProblemLog,
    notes: list[str],
) -> TablePoints | None:
    typed = {place: fold(text) for place, text in enumerate(cells) if has_ink(text)}
    code = next((typed.get(place, "") for place, one in columns.items() if one.name == CODE), "")
    if not code:
        if typed:
            notes.append(f"row {number} has no key code and does not count")
        return None
    points: dict[str, float] = {}
    full: dict[str, float] = {}
    for place, text in typed.items():
        if place not in columns:
            notes.append(f"row {number}: {quoted(text)} has no heading above it and does not count")
            continue
        column = columns[place]
        if column.name in ("", CODE):
            continue
        value = number_in(text)
        if value is None:
            under = f"{column.name} of" if column.full else column.name
            what = f"{quoted(text)} under {under} is not a number of points"
            log.add(number, what, "write points such as 6, 6.5 or 6½")
        else:
            (full if column.full else points)[column.name] = value
    return TablePoints(number, code, points, points.pop(TOTAL, None), full)


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
    """All rows in order, empty ones included, so that each is at its number."""
    data = read_bytes(path, log, _MOST_BYTES)
    if data is None:
        return []
    try:
        if path.suffix.lower() in (".xlsx", ".xlsm"):
            return [*read_xlsx(data)]
        table = read_csv(data, (CODE, "student", TOTAL), OLD_ENCODINGS[0])
    except XlsxFault as fault:
        log.add(None, str(fault))
        return []
    except CsvFault as fault:
        log.add(None, fault.what, fault.instead)
        return []
    rows: list[Sequence[str]] = []
    if len(table.rows) > MOST_ROWS or any(len(row.cells) > MOST_COLUMNS for row in table.rows):
        log.add(None, TOO_LARGE)
        return []
    for row in table.rows:
        rows += [()] * (row.number - len(rows) - 1)
        if row.fault:
            log.add(row.number, row.fault.what, row.fault.instead)
        rows.append(() if row.fault else row.cells)
    return rows


def over(points: Iterable[tuple[str, float, float]]) -> list[str]:
    """A phrase for each section with more points than it has: ``A has 7 of 6 points``."""
    return [
        f"{letter} has {got:g} of {full:g} points" for letter, got, full in points if got > full
    ]
