"""The roster: a CSV file with one row for each workbook, read and checked.

In: a CSV file as a spreadsheet program saves it. Out: ``Row`` values, or an
``InputError`` with everything wrong in the roster and its templates.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.inputs.csv_table import CsvFault, CsvRow, CsvTable, heading, read_csv
from workbook.inputs.messages import fold, has_control, has_ink, plural, quoted
from workbook.inputs.natural_order import natural
from workbook.inputs.printable import FONTS, Unprintable, nothing, without_font
from workbook.inputs.problem_log import ProblemLog, read_bytes
from workbook.inputs.suggestions import did_you_mean
from workbook.music.keys import Key, parse_keys
from workbook.studio import own_settings
from workbook.studio.own_settings import OwnSettings
from workbook.studio.template_model import Template, combinations, suits
from workbook.studio.templates import available, match, read_template

REQUIRED = ("student", "template", "keys")
COLUMNS = (*REQUIRED, "title", "seed", *own_settings.COLUMNS)
NOTE = "#"
"""Begins the heading of a column of the teacher's own notes, which is not read."""
MOST_BYTES = 50_000_000
"""The size of a roster file."""
MOST_ROWS = 100_000
MOST_COLUMNS = 1000
"""Headings with text; empty ones, which spreadsheet programs add, do not count."""
MOST_CHARACTERS = 500
"""The length of a name, a title or a seed."""
_MOST_PROBLEMS = 200_000
"""After so many the rest of the roster is not read."""
_TOO_MANY = "correct the rows above it first"
_NEEDED = f"the header row needs {', '.join(REQUIRED)}"


@dataclass(frozen=True)
class Row:
    """One workbook to make: for whom, from which template, in which keys.

    ``title`` is "" and ``seed`` None where the roster leaves them empty. ``number`` is
    the row's number in a spreadsheet program (the header is row 1). ``own`` are the settings
    that the row has in place of the build's.
    """

    student: str
    template: Template
    keys: tuple[Key, ...]
    title: str
    seed: str | None
    number: int
    own: OwnSettings = own_settings.NONE


Roster = Path | str | Iterable[Mapping[str, str]]
"""A CSV file, or rows by column as a program has them."""


def roster_name(roster: Roster) -> str:
    """What messages call a roster."""
    return Path(roster).name if isinstance(roster, Path | str) else "roster"


def read_roster(
    roster: Roster,
    template_dir: Path | str | None = None,
    families: Mapping[str, Family] = FAMILIES,
    unprintable: Unprintable = nothing,
    data: bytes | None = None,
) -> tuple[Row, ...]:
    """The rows of a roster, in its order; no text in it or in its templates has a character
    that ``unprintable`` finds.

    With ``data``, the file is read as if that were its content. Rows that a program has made
    are checked like those of a file, as if below a header in row 1. Raises InputError with every
    problem of the roster, then of each template it names.
    """
    log = ProblemLog(roster_name(roster), "row")
    templates = _Templates(template_dir, families, unprintable)
    base = Path(roster).parent if isinstance(roster, Path | str) else Path()
    if isinstance(roster, Path | str):
        found = read_bytes(Path(roster), log, MOST_BYTES) if data is None else data
        table = _table(found, log)
    else:
        table = _table(_as_csv(roster), log)
    rows = tuple(_rows(table, templates, base, log)) if table else ()
    if log or templates.problems:
        raise InputError(log.problems + templates.problems)
    return rows


def students_named(names: Iterable[str], rows: Iterable[Row], roster: str) -> frozenset[str]:
    """The students called ``names`` in ``rows``, whatever Unicode form the names are in.

    Raises InputError with a suggestion for each name that is not in the file ``roster``.
    """
    students = {row.student for row in rows}
    wanted = {fold(name) for name in names}
    problems = [
        Problem(
            roster,
            "",
            f"there is no student {quoted(name)};",
            did_you_mean(name, sorted(students)) or "write the name as the roster has it",
        )
        for name in sorted(wanted - students, key=natural)
    ]
    if problems:
        raise InputError(problems)
    return frozenset(wanted)


class _Templates:
    """The templates of a roster, each read once and only when a row names it."""

    def __init__(
        self, folder: Path | str | None, families: Mapping[str, Family], unprintable: Unprintable
    ):
        self.problems: list[Problem] = []
        self.families, self.unprintable = families, unprintable
        self._read: dict[str, Template | None] = {}
        self._files: dict[str, Path] | None = None
        try:
            self._files = available(folder)
        except InputError as error:
            self.problems += error.problems

    def named(self, name: str, suggest: bool) -> Template | None:
        """The template, or None if it has problems. Raises ValueError as ``match`` does."""
        if self._files is None:
            return None  # which templates there are is not known: one problem, not many
        name = match(name, self._files, suggest)
        if name not in self._read:
            self._read[name] = None
            try:
                self._read[name] = read_template(self._files[name], self.families, self.unprintable)
            except InputError as error:
                self.problems += error.problems
        return self._read[name]


def _as_csv(rows: Iterable[Mapping[str, str]]) -> bytes:
    """Rows by column as a CSV file with all columns that any of them has."""
    listed = [dict(row) for row in rows]
    names = dict.fromkeys(chain(REQUIRED, *listed))
    broken = [
        Problem(
            "roster", f"row {number}", f"{name} contains an incomplete character;", "type it again"
        )
        for number, row in enumerate(listed, 2)
        for name, cell in row.items()
        if any("\ud800" <= char <= "\udfff" for char in str(cell))
    ]
    if broken:
        raise InputError(broken)
    text = io.StringIO()
    table = csv.DictWriter(text, names, restval="")
    table.writeheader()
    table.writerows(listed)
    return text.getvalue().encode()


def _table(data: bytes | None, log: ProblemLog) -> CsvTable | None:
    if data is None:
        return None
    try:
        table = read_csv(data, COLUMNS)
    except CsvFault as fault:
        log.add(None, fault.what, fault.instead)
        return None
    if not table.rows:
        right = f"write a header row with {', '.join(REQUIRED)}, then one row for each student"
        log.add(None, "is empty", right)
    return table if table.rows else None


def _rows(table: CsvTable, templates: _Templates, base: Path, log: ProblemLog) -> Iterator[Row]:
    header, *others = table.rows
    columns = _columns(header, log)
    if not columns:
        return
    if not others:
        log.add(None, "has no row below the header", "write one row for each student")
    if len(others) > MOST_ROWS:
        what = f"has {len(others):,} rows below the header"
        log.add(None, what, f"make several rosters of at most {MOST_ROWS:,} rows")
        return
    for csv_row in others:
        if len(log) >= _MOST_PROBLEMS:
            log.add(csv_row.number, "this row and those below it were not read", _TOO_MANY)
            return
        row = _row(csv_row, columns, len(header.cells), table, templates, base, log)
        if row is not None:
            yield row


def _columns(header: CsvRow, log: ProblemLog) -> dict[str, int]:
    """The place of each column; none if the rows cannot be read by this header."""
    if not _is_header(header, log):
        return {}
    places: dict[str, int] = {}
    unknown = []
    for place, name in enumerate(map(heading, header.cells)):
        if name in places:
            log.add(header.number, f'column "{name}" appears twice', "keep one of them")
        elif name in COLUMNS:
            places[name] = place
        elif has_ink(name) and not name.startswith(NOTE):
            unknown.append(header.cells[place])
    if not places:
        # Most likely the first student, so the cells are not columns to be named.
        log.add(header.number, "is not a header row", _NEEDED)
        return {}
    for cell in unknown:
        hint = (not log.full and did_you_mean(heading(cell), COLUMNS)) or (
            f"the columns are {', '.join(COLUMNS)}; "
            f'begin the heading with "{NOTE}" for notes of your own'
        )
        log.add(header.number, f"unknown column {quoted(fold(cell))}", hint)
    for name in REQUIRED:
        if name not in places:
            log.add(header.number, f'column "{name}" is missing', _NEEDED)
    return places


def _is_header(header: CsvRow, log: ProblemLog) -> bool:
    """Whether the row can be read, and is not longer than any header; if not, that is reported."""
    headings = sum(map(has_ink, header.cells))
    if header.fault:
        log.add(header.number, header.fault.what, header.fault.instead)
    elif headings > MOST_COLUMNS:
        what = f"has {headings:,} headings; a roster can have at most {MOST_COLUMNS:,} columns"
        log.add(header.number, what, "remove the columns that are not needed")
    else:
        return True
    return False


def _row(
    row: CsvRow,
    columns: dict[str, int],
    width: int,
    table: CsvTable,
    templates: _Templates,
    base: Path,
    log: ProblemLog,
) -> Row | None:
    """The workbook of one row, or None, with problems in ``log``."""

    def wrong(what: str, instead: str = "") -> None:
        log.add(row.number, what, instead)

    if row.fault:
        wrong(row.fault.what, row.fault.instead)
        return None
    if any(map(has_ink, row.cells[width:])):
        # Which cell fell apart is unknown, so problems of the others would only mislead.
        cells, headings = plural(len(row.cells), "cell"), plural(width, "heading")
        wrong(
            f"has {cells} under {headings}",
            f"put a cell that contains a {table.separator_name} in quotes, "
            f'such as "C major{table.separator} A minor"',
        )
        return None
    by_column = {
        name: _cell(row, place, name, wrong, templates.unprintable)
        for name, place in columns.items()
    }
    own = own_settings.own_settings(by_column, base, wrong, suggest=not log.full)
    found = _workbook(row.number, by_column, templates, wrong, suggest=not log.full)
    return found and replace(found, own=own)


_Wrong = Callable[..., None]
"""Records a problem of the row in hand: what is wrong, what to write instead."""


_PRINTED = {"student": "name", "title": "title"}
"""The columns that are printed, and what messages call their texts."""


def _cell(row: CsvRow, place: int, name: str, wrong: _Wrong, unprintable: Unprintable) -> str:
    text = fold(row.cells[place]) if place < len(row.cells) else ""
    if has_control(text):
        wrong(f"{name} contains a control character", "remove it")
    if name in ("student", "title", "seed", "fingering") and len(text) > MOST_CHARACTERS:
        wrong(f"{name} has {len(text):,} characters", f"write at most {MOST_CHARACTERS}")
    elif name in _PRINTED and (told := without_font(_PRINTED[name], text, unprintable)):
        wrong(told, FONTS)
    return text if has_ink(text) else ""


def _workbook(
    number: int, cells: Mapping[str, str], templates: _Templates, wrong: _Wrong, suggest: bool
) -> Row | None:
    title, seed = cells.get("title", ""), cells.get("seed", "")
    _check_misplaced_keys({"title": title, "seed": seed}, wrong)
    if cells.get("student") == "":
        wrong("student is empty", "write the student's name")
    template = _template(cells, templates, wrong, suggest)
    keys = _keys(cells, template, wrong, suggest)
    student = cells.get("student")
    if not (student and template and keys):
        return None
    _check_keys_suit(template, keys, templates.families, wrong)
    return Row(student, template, keys, title, seed or None, number)


def _check_misplaced_keys(cells: Mapping[str, str], wrong: _Wrong) -> None:
    """Record keys in cells for other things: a list of keys that fell apart at its commas."""
    for name, words in cells.items():
        if words and _is_key(words):
            otherwise = f', or write "In {words}"' if name == "title" else ""
            wrong(
                f'the {name} "{words}" is a key',
                f'write all keys into one cell, with ";" between them{otherwise}',
            )


def _is_key(words: str) -> bool:
    """Whether ``words`` are one key or several."""
    try:
        return bool(parse_keys(words, suggest=False))
    except ValueError:
        return False


def _template(
    cells: Mapping[str, str], templates: _Templates, wrong: _Wrong, suggest: bool
) -> Template | None:
    if "template" not in cells:
        return None
    try:
        return templates.named(cells["template"], suggest)
    except ValueError as error:
        wrong(str(error))
        return None


def _keys(
    cells: Mapping[str, str], template: Template | None, wrong: _Wrong, suggest: bool
) -> tuple[Key, ...]:
    """The keys of the row, or those of its template if the cell is empty."""
    if "keys" not in cells:
        return ()
    if not cells["keys"] and template and template.keys:
        return template.keys
    if not cells["keys"] and not template and cells.get("template"):
        return ()  # a template that cannot be read may name keys: one problem, not two
    try:
        return parse_keys(cells["keys"], suggest)
    except ValueError as error:
        for line in str(error).split("\n"):
            wrong(line)
        return ()


def _check_keys_suit(
    template: Template, keys: Collection[Key], families: Mapping[str, Family], wrong: _Wrong
) -> None:
    """Record the sections that none of the keys suits; each needs only one that does."""
    for section in template.sections:
        family = families[section.family]
        if not any(suits(section, family, key) for key in keys):
            why = family.problem(next(combinations(section)), next(iter(keys)), section.hands[0])
            wrong(f'no key of this row suits the section "{section.title}" of {template.name}', why)
