"""The roster as a table of cells, changed and saved in the same file format.

In: the bytes of ``roster.csv`` and new cells. Out: new bytes in the same encoding, with the same
separator and line ends. Rows that are not changed stay byte for byte, notes and all.
"""

from __future__ import annotations

import codecs
import csv
import hashlib
import io
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook.builds.publish import rewriting
from workbook.errors import InputError, OutputError, Problem
from workbook.inputs.csv_table import CsvFault, CsvTable, heading, read_csv
from workbook.inputs.files import MOST_BYTES
from workbook.inputs.messages import has_ink
from workbook.inputs.problem_log import ProblemLog, read_bytes
from workbook.studio.folder import Studio
from workbook.studio.roster import COLUMNS, NOTE, read_roster
from workbook.typesetting.runs import unprintable

_OFFERED = re.compile(r"did you mean (.*?)\?")
_QUOTED = re.compile(r'"([^"]+)"')


@dataclass(frozen=True)
class TableRow:
    """A row below the header: its number, as a spreadsheet program counts, and its cells."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class RosterTable:
    """A roster as it is in its file: headings, rows, and ``data``, its bytes."""

    name: str
    data: bytes
    headings: tuple[str, ...]
    rows: tuple[TableRow, ...]
    header: int

    @property
    def version(self) -> str:
        """Identifies the content of the file."""
        return hashlib.sha256(self.data).hexdigest()

    def column(self, name: str) -> int | None:
        """The place of a column, or None."""
        names = list(map(heading, self.headings))
        return names.index(name) if name in names else None

    def place(self, name: str) -> int | None:
        """The place of the column with this heading, whatever it means; None if there is none."""
        headings = [one.strip() for one in self.headings]
        return headings.index(name) if name in headings else self.column(heading(name))


@dataclass(frozen=True)
class Offer:
    """What a cell may have meant: ``text`` would take the cell's place."""

    row: int
    column: int
    text: str


def read_table(roster: Path) -> RosterTable:
    """The table in a file. Raises InputError if it cannot be read as CSV."""
    log = ProblemLog(roster.name, "row")
    data = read_bytes(roster, log, MOST_BYTES)
    if data is None:
        raise InputError(log.problems)
    return table_of(data, roster.name)


def table_of(data: bytes, name: str) -> RosterTable:
    """The table in ``data``, the content of the file ``name``. Raises InputError."""
    log = ProblemLog(name, "row")
    found = _csv(data, name)
    for row in found.rows:
        if row.fault:
            log.add(row.number, row.fault.what, row.fault.instead)
    if not found.rows:
        log.add(None, "is empty", f"write a header row with {', '.join(COLUMNS[:3])}")
    if log:
        raise InputError(log.problems)
    header, *others = found.rows
    width = len(header.cells)
    rows = tuple(
        TableRow(row.number, (*row.cells, *[""] * (width - len(row.cells)))) for row in others
    )
    return RosterTable(name, data, header.cells, rows, header.number)


def edited(
    table: RosterTable,
    cells: Mapping[tuple[int, int], str],
    added: Sequence[Mapping[int, str]] = (),
    removed: Collection[int] = (),
) -> bytes:
    """The roster with other ``cells``, by row number and column.

    ``added`` rows, cells by column, come last; rows without a visible character are left out.
    ``removed`` has row numbers. Raises InputError for text that no encoding has.
    """
    found = _csv(table.data, table.name)
    encoding = "utf-8-sig" if table.data.startswith(codecs.BOM_UTF8) else found.encoding
    text = table.data.decode(encoding)
    end = "\r\n" if "\r\n" in text else "\n"
    now = {row.number: row.cells for row in table.rows} | {table.header: table.headings}
    parts = []
    for number, part in enumerate(_records(text, found.separator), 1):
        if number in removed and number != table.header:
            continue
        new = {column: cell for (row, column), cell in cells.items() if row == number}
        old = now.get(number, ())
        if all(column < len(old) and old[column] == cell for column, cell in new.items()):
            parts.append(part)
        else:
            parts.append(_written(_with(old, new), found.separator, end))
    rows = [_with([""] * len(table.headings), one) for one in added]
    rows = [row for row in rows if any(map(has_ink, row))]
    if rows and parts and not parts[-1].endswith(("\n", "\r")):
        parts[-1] += end
    parts += [_written(row, found.separator, end) for row in rows]
    try:
        return "".join(parts).encode(encoding)
    except UnicodeEncodeError:
        what = "has bytes that are not valid text;"
        raise InputError([Problem(table.name, "", what, "write it again")]) from None


def check(studio: Studio, data: bytes) -> tuple[Problem, ...]:
    """The problems that the reader of all commands finds in this content.

    Those of templates are left out: they are not the roster's.
    """
    try:
        read_roster(studio.roster, studio.build.template_dir, unprintable=unprintable, data=data)
    except InputError as error:
        return tuple(one for one in error.problems if one.file == studio.roster.name)
    return ()


def save(studio: Studio, table: RosterTable, data: bytes) -> None:
    """Replace the roster with ``data``.

    Raises InputError if it would have problems, OutputError if the file was changed since
    ``table`` was read, or cannot be written; it is then unchanged.
    """
    if problems := check(studio, data):
        raise InputError(problems)
    if read_table(studio.roster).data != table.data:
        raise OutputError(
            f"{table.name} was changed elsewhere in the meantime; read it again first"
        )
    with rewriting(studio.roster) as file:
        file.write(data)


def offers(problem: Problem, table: RosterTable) -> list[Offer]:
    """The cells that the words of a problem suggest, each with what it replaces."""
    number = row_of(problem)
    row = next((one for one in table.rows if one.number == number), None)
    said = f"{problem.what} {problem.instead}"
    wrong, near = _QUOTED.search(said), _OFFERED.search(said)
    if row is None or wrong is None or near is None:
        return []
    for column, cell in enumerate(row.cells):
        known = heading(table.headings[column]) if column < len(table.headings) else NOTE
        if known in COLUMNS and known != "student" and wrong[1] in " ".join(cell.split()):
            kept = " ".join(cell.split())
            return [
                Offer(row.number, column, kept.replace(wrong[1], word))
                for word in _QUOTED.findall(near[1])
            ]
    return []


def row_of(problem: Problem) -> int | None:
    """The row that a problem is in; None for the whole file."""
    found = re.fullmatch(r"row (\d+)", problem.place)
    return int(found[1]) if found else None


def _csv(data: bytes, name: str) -> CsvTable:
    try:
        return read_csv(data, COLUMNS)
    except CsvFault as fault:
        log = ProblemLog(name, "row")
        log.add(None, fault.what, fault.instead)
        raise InputError(log.problems) from None


def _records(text: str, separator: str) -> list[str]:
    """The text of each row, as ``read_csv`` counts them, with its line end."""
    lines = list(io.StringIO(text, newline=""))
    reader = csv.reader(lines, delimiter=separator)
    found, start = [], 0
    for _ in reader:
        found.append("".join(lines[start : reader.line_num]))
        start = reader.line_num
    return found


def _with(old: Sequence[str], new: Mapping[int, str]) -> list[str]:
    width = max([len(old), *(column + 1 for column in new)])
    cells = [*old, *[""] * (width - len(old))]
    for column, cell in new.items():
        cells[column] = cell
    return cells


def _written(cells: Sequence[str], separator: str, end: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=end).writerow(cells)
    return out.getvalue()
