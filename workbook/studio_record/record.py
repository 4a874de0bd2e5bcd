"""The record of a studio, open for reading and writing.

In: the path of its file. Out: students, sheets, marks. Every method that changes something
returns after the change is on the disk.
"""

from __future__ import annotations

import os
import sqlite3
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from functools import lru_cache
from math import isfinite
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import msgspec

from workbook.marking.outcome import Outcome
from workbook.record.model import Record
from workbook.record.outline import AnsweredItem, Outline, answered, from_kept, kept, outline
from workbook.record.reader import Unreadable, read_record
from workbook.studio_record.database import RecordError, connect, told, transaction
from workbook.studio_record.model import (
    Mark,
    Marking,
    Outlined,
    SetWorkbook,
    Sheet,
    SheetState,
    Student,
    Way,
)

_UNREADABLE = (ValueError, TypeError, KeyError, zlib.error, msgspec.DecodeError, Unreadable)
_MOST_BYTES = 32_000_000
"""The longest ``key.json`` that is read; that of a long workbook has a hundredth."""
_LEVEL = 4
"""How hard sheets are compressed: in two thirds of the time that level 6 takes."""
_KEPT = 30
"""Records of sheets kept in memory: to read one takes longer than to enter a mark."""
_SHEETS = "SELECT code, student, title, form, week, folder, built, state FROM sheet "
_PACKED_SHEETS = """
SELECT code, student, title, form, week, folder, built, state, text, key_json
FROM sheet LEFT JOIN outline ON outline.edition = sheet.edition WHERE student = ?
"""
_KEY_AND_OUTLINE = """
SELECT key_json, text FROM sheet LEFT JOIN outline ON outline.edition = sheet.edition
WHERE code = ?
"""
_NOT_OUTLINED = """
SELECT edition, key_json FROM sheet WHERE code = (SELECT code FROM workbook WHERE id = ?)
AND NOT EXISTS (SELECT 1 FROM outline WHERE outline.edition = sheet.edition)
"""
_KEY = "SELECT key_json FROM sheet WHERE code = ?"
_RECIPE = "SELECT recipe FROM sheet WHERE code = ?"
_OUTCOMES = {str(one): one for one in Outcome}
_LATEST = """
SELECT {column}, {values} FROM {table} JOIN marking ON marking.id = marking
WHERE workbook = ? ORDER BY marking.id
"""
_OF_STUDENT = """
SELECT code, {columns} FROM student JOIN workbook ON student = student.id
JOIN marking ON workbook = workbook.id JOIN {table} ON marking = marking.id
WHERE name = ? {grouped} ORDER BY workbook.id, marking.id
"""
_MARKS_OF = _OF_STUDENT.format(
    columns="json_group_object(blank, outcome)",
    table="mark",
    grouped="GROUP BY workbook.id, marking.id",
)
"""The marks of a student by blank, a row for each act of marking: one for each mark costs more."""
_STATES = {str(state): state for state in SheetState}
_MARKS = msgspec.json.Decoder(dict[str, Outcome])
_POINTS_OF = _OF_STUDENT.format(columns="section, points", table="points", grouped="")


class StudioRecord:
    """The record at ``path``; use as a context manager.

    Raises RecordError, here and in every method, if the file cannot be read or written. A
    process that was forked must open its own.
    """

    def __init__(self, path: Path):
        self.path = path
        self._connection = connect(path)
        self._process = os.getpid()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    @contextmanager
    def _connected(self) -> Iterator[sqlite3.Connection]:
        if os.getpid() != self._process:
            raise RuntimeError("the record was opened in another process; open it here")
        try:
            with told(self.path):
                yield self._connection
        except UnicodeEncodeError as error:
            raise RecordError(
                "Nothing was recorded: a text has bytes that are not valid text; type it again."
            ) from error

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with self._connected() as connection, _understood(self.path):
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self.together():
            yield self._connection

    @contextmanager
    def together(self) -> Iterator[None]:
        """Enter all changes of the block, or none; blocks may be nested."""
        with self._connected() as connection:
            if connection.in_transaction:
                yield
                return
            with transaction(connection):
                yield

    # -- the studio ------------------------------------------------------------------

    @property
    def studio(self) -> str:
        """The id of the studio, or "" in a new record."""
        with self._reading() as connection:
            row = connection.execute("SELECT id FROM studio").fetchone()
        return str(row[0]) if row else ""

    def claim(self, studio: str) -> None:
        """Make this the record of ``studio``. Raises RecordError if it is another's."""
        if self.studio == studio:
            return
        with self._writing() as connection:
            row = connection.execute("SELECT id FROM studio").fetchone()
            if row is None:
                connection.execute("INSERT INTO studio VALUES (?, ?)", (studio, _now()))
            elif row[0] != studio:
                raise RecordError(f"{self.path} is the record of another studio ({row[0]})")

    # -- students --------------------------------------------------------------------

    def students(self) -> list[Student]:
        """All students, by name."""
        with self._reading() as connection:
            earlier: dict[int, list[str]] = {}
            for student, name in connection.execute(
                "SELECT student, name FROM earlier_name ORDER BY id"
            ):
                earlier.setdefault(student, []).append(name)
            return [
                Student(number, name, left_on, tuple(earlier.get(number, ())))
                for number, name, left_on in connection.execute(
                    "SELECT id, name, left_on FROM student ORDER BY name"
                )
            ]

    def rename(self, old: str, new: str) -> None:
        """Give a student another name; sheets and marks are kept.

        Raises RecordError if there is no such student, or if another one has the new name.
        """
        with self._writing() as connection:
            row = connection.execute("SELECT id FROM student WHERE name = ?", (old,)).fetchone()
            if row is None:
                raise RecordError(f"the record has no student “{old}”")
            if connection.execute("SELECT id FROM student WHERE name = ?", (new,)).fetchone():
                raise RecordError(f"the record already has a student “{new}”")
            connection.execute(
                "INSERT INTO earlier_name (student, name, until) VALUES (?, ?, ?)",
                (row[0], old, _now()),
            )
            connection.execute("UPDATE student SET name = ? WHERE id = ?", (new, row[0]))

    def leave(self, name: str, date: str) -> None:
        """Note that a student left on ``date``; "" for one who came back."""
        with self._writing() as connection:
            changed = connection.execute(
                "UPDATE student SET left_on = ? WHERE name = ?", (date, name)
            )
            if not changed.rowcount:
                raise RecordError(f"the record has no student “{name}”")

    # -- sheets ----------------------------------------------------------------------

    def add(self, workbooks: Iterable[SetWorkbook], *, replacing: bool = False) -> None:
        """Enter workbooks that were built, all or none.

        One with a known key code is entered again only if it differs and is ``replacing`` the
        first, as when it is printed on other paper; earlier editions stay in the record. One
        that was entered without a recipe gets the new one. Raises RecordError if it differs
        and replaces nothing, or is another student's.
        """
        with self._writing() as connection:
            for one in workbooks:
                self._add(connection, one, replacing)

    def _add(self, connection: sqlite3.Connection, one: SetWorkbook, replacing: bool) -> None:
        known = connection.execute(_SHEETS + "WHERE code = ?", (one.code,)).fetchone()
        if known:
            (text,) = connection.execute(_KEY, (one.code,)).fetchone()
            with _understood(self.path):
                same = _unpacked(text) == one.key_json
            if same:
                self._complete(connection, one)
                return
            if not replacing or known[1] != one.student:
                raise RecordError(
                    f"the key code {one.code} already belongs to another sheet in the record; "
                    "build with another seed"
                )
            _add_edition(connection, _number(connection, one.code), one)
            return
        connection.execute("INSERT OR IGNORE INTO student (name) VALUES (?)", (one.student,))
        (student,) = connection.execute(
            "SELECT id FROM student WHERE name = ?", (one.student,)
        ).fetchone()
        made = connection.execute(
            "INSERT INTO workbook (code, student, title, form, week, built) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            (one.code, student, one.title, one.form, one.week, _now()),
        )
        _add_edition(connection, made.lastrowid or 0, one)
        _add_reasons(connection, made.lastrowid or 0, one)

    def _complete(self, connection: sqlite3.Connection, one: SetWorkbook) -> None:
        """Add recipe and reasons to a sheet that was found on disk and entered without."""
        (known,) = connection.execute(_RECIPE, (one.code,)).fetchone()
        if one.recipe and not known:
            number = _number(connection, one.code)
            _add_edition(connection, number, one)
            _add_reasons(connection, number, one)

    def sheets(self, student: str | None = None) -> list[Sheet]:
        """The sheets of ``student``, or of all, in the order in which they were set."""
        with self._reading() as connection:
            found = connection.execute(
                _SHEETS + "WHERE ? IS NULL OR student = ?", (student, student)
            )
            return [_sheet(row) for row in found]

    def sheet(self, code: str) -> Sheet:
        """The sheet with a key code. Raises RecordError if the code is not known."""
        with self._reading() as connection:
            row = connection.execute(_SHEETS + "WHERE code = ?", (code,)).fetchone()
            if row is None:
                raise _unknown(code)
            return _sheet(row)

    def knows(self, code: str) -> bool:
        """Whether a sheet has the key code."""
        with self._reading() as connection:
            found = connection.execute("SELECT 1 FROM workbook WHERE code = ?", (code,))
            return found.fetchone() is not None

    def workbook(self, code: str) -> Record:
        """What ``key.json`` says about the sheet with a key code. Raises RecordError."""
        with self._reading() as connection:
            return _record(_text(connection, code, _KEY))

    def outline(self, code: str) -> Outline:
        """The essentials of a sheet's ``key.json``. Raises RecordError."""
        with self._reading() as connection:
            row = connection.execute(_KEY_AND_OUTLINE, (code,)).fetchone()
            if row is None:
                raise _unknown(code)
            return _outline(row[1], row[0])

    def answered(self, code: str) -> tuple[AnsweredItem, ...]:
        """The exercises of a sheet with their answers. Raises RecordError."""
        with self._reading() as connection:
            return answered(_bytes(_text(connection, code, _KEY)))

    def outlined(self, student: str) -> list[Outlined]:
        """The sheets of a student that were not replaced or have marks, as they were set."""
        with self._reading() as connection:
            sheets = [
                (_sheet(row), text, packed)
                for *row, text, packed in connection.execute(_PACKED_SHEETS, (student,))
            ]
            marks: dict[str, dict[str, Outcome]] = {}
            for code, found in connection.execute(_MARKS_OF, (student,)):
                marks.setdefault(code, {}).update(_MARKS.decode(found))
            points: dict[str, dict[str, float | None]] = {}
            for code, section, value in connection.execute(_POINTS_OF, (student,)):
                points.setdefault(code, {})[section] = value
            return [
                Outlined(
                    sheet,
                    _outline(text, packed),
                    marks.get(sheet.code, {}),
                    _entered(points.get(sheet.code, {})),
                )
                for sheet, text, packed in sheets
                if sheet.state != SheetState.REPLACED or sheet.code in marks
            ]

    def key_json(self, code: str) -> str:
        """The text of a sheet's ``key.json``. Raises RecordError if the code is not known."""
        with self._reading() as connection:
            return _unpacked(_text(connection, code, _KEY))

    def recipe(self, code: str) -> str:
        """The JSON from which a sheet can be made again. Raises RecordError."""
        with self._reading() as connection:
            return str(_text(connection, code, _RECIPE))

    def reasons(self, code: str) -> dict[str, str]:
        """Why each section of a sheet was set, by letter."""
        with self._reading() as connection:
            return dict(
                connection.execute(
                    "SELECT section, words FROM reason WHERE workbook = "
                    "(SELECT id FROM workbook WHERE code = ?)",
                    (code,),
                )
            )

    def tell(self, code: str, state: SheetState) -> None:
        """Note what happened to a sheet. Raises RecordError if the code is not known."""
        with self._writing() as connection:
            connection.execute(
                "INSERT INTO sheet_state (workbook, state, at) VALUES (?, ?, ?)",
                (_number(connection, code), state, _now()),
            )

    # -- marks -----------------------------------------------------------------------

    def mark(
        self,
        code: str,
        marks: Mapping[str, Mark],
        way: Way,
        *,
        points: Mapping[str, float | None] | None = None,
        who: str = "",
    ) -> None:
        """Add marks, by blank id, and points that the teacher gave, by section letter.

        Later marks of a blank replace earlier ones, which stay in the history. Raises
        RecordError if the code is not known.
        """
        if not marks and not points:
            return
        with self._writing() as connection:
            number = _number(connection, code)
            made = connection.execute(
                "INSERT INTO marking (workbook, way, who, at) VALUES (?, ?, ?, ?)",
                (number, way, who, _now()),
            )
            connection.executemany(
                "INSERT INTO mark VALUES (?, ?, ?, ?)",
                [(made.lastrowid, blank, one.outcome, one.given) for blank, one in marks.items()],
            )
            connection.executemany(
                "INSERT INTO points VALUES (?, ?, ?)",
                [(made.lastrowid, section, value) for section, value in (points or {}).items()],
            )
            _keep_outline(connection, number)

    def marks(self, code: str) -> dict[str, Mark]:
        """The present mark of each blank that was ever marked, by blank id."""
        query = _LATEST.format(column="blank", values="outcome, given", table="mark")
        with self._reading() as connection:
            return {
                blank: Mark(Outcome(outcome), given)
                for blank, outcome, given in connection.execute(query, (_number(connection, code),))
            }

    def outcomes(self, code: str) -> dict[str, Outcome]:
        """As ``marks``, without what was written in the blanks."""
        query = _LATEST.format(column="blank", values="outcome", table="mark")
        with self._reading() as connection:
            found = connection.execute(query, (_number(connection, code),))
            return {blank: _OUTCOMES[outcome] for blank, outcome in found}

    def points(self, code: str) -> dict[str, float]:
        """The points that the teacher entered, by section letter."""
        query = _LATEST.format(column="section", values="points", table="points")
        with self._reading() as connection:
            return _entered(dict(connection.execute(query, (_number(connection, code),))))

    def history(self, code: str) -> list[Marking]:
        """Every act of marking a sheet, the earliest first."""
        with self._reading() as connection:
            number = _number(connection, code)
            found = connection.execute(
                "SELECT id, way, who, at FROM marking WHERE workbook = ? ORDER BY id", (number,)
            ).fetchall()
            return [
                Marking(
                    code,
                    Way(way),
                    who,
                    _time(at),
                    {
                        blank: Mark(Outcome(outcome), given)
                        for blank, outcome, given in connection.execute(
                            "SELECT blank, outcome, given FROM mark WHERE marking = ?", (marking,)
                        )
                    },
                    {
                        section: None if value is None else _points(value)
                        for section, value in connection.execute(
                            "SELECT section, points FROM points WHERE marking = ?", (marking,)
                        )
                    },
                )
                for marking, way, who, at in found
            ]

    def last_marked(self) -> dict[str, str]:
        """When each sheet was last marked (ISO 8601, UTC), by key code."""
        with self._reading() as connection:
            found = connection.execute(
                "SELECT code, MAX(at) FROM marking JOIN workbook ON workbook.id = workbook "
                "GROUP BY code"
            )
            return {code: _time(at) for code, at in found}

    def versions(self) -> dict[str, int]:
        """A number for each marked sheet, by key code, that grows with every act of marking."""
        with self._reading() as connection:
            return dict(
                connection.execute(
                    "SELECT code, MAX(marking.id) FROM marking "
                    "JOIN workbook ON workbook.id = workbook GROUP BY code"
                )
            )

    def version(self, code: str) -> int:
        """As ``versions``, for one sheet; 0 if it was never marked. Raises RecordError."""
        with self._reading() as connection:
            query = "SELECT MAX(id) FROM marking WHERE workbook = ?"
            (found,) = connection.execute(query, (_number(connection, code),)).fetchone()
        return found or 0

    def read_through(self) -> None:
        """Read all sheets and marks. Raises RecordError for one that cannot be read."""
        for sheet in self.sheets():
            self.history(sheet.code)

    def backup(self, target: Path) -> None:
        """Copy the record, whole even while others write."""
        with self._reading() as connection, told(target):
            copy = sqlite3.connect(target)
            try:
                connection.backup(copy)
            finally:
                copy.close()


def _entered(points: Mapping[str, float | None]) -> dict[str, float]:
    """The points that were not taken back."""
    return {section: _points(value) for section, value in points.items() if value is not None}


def _number(connection: sqlite3.Connection, code: str) -> int:
    row = connection.execute("SELECT id FROM workbook WHERE code = ?", (code,)).fetchone()
    if row is None:
        raise _unknown(code)
    return int(row[0])


def _add_edition(connection: sqlite3.Connection, workbook: int, one: SetWorkbook) -> None:
    connection.execute(
        "INSERT INTO edition (workbook, folder, key_json, recipe, at) VALUES (?, ?, ?, ?, ?)",
        (workbook, one.folder, zlib.compress(one.key_json.encode(), _LEVEL), one.recipe, _now()),
    )


def _keep_outline(connection: sqlite3.Connection, workbook: int) -> None:
    """Keep the outline of a workbook: all that estimates read of it, once it has marks."""
    row = connection.execute(_NOT_OUTLINED, (workbook,)).fetchone()
    if row is None:
        return
    edition, packed = row
    with suppress(*_UNREADABLE):  # whoever reads the workbook is told
        found = kept(outline(_bytes(packed)))
        connection.execute("INSERT INTO outline VALUES (?, ?)", (edition, found))


def _add_reasons(connection: sqlite3.Connection, workbook: int, one: SetWorkbook) -> None:
    connection.executemany(
        "INSERT OR IGNORE INTO reason VALUES (?, ?, ?)",
        [(workbook, section, words) for section, words in one.reasons.items()],
    )


def _text(connection: sqlite3.Connection, code: str, query: str) -> Any:
    row = connection.execute(query, (code,)).fetchone()
    if row is None:
        raise _unknown(code)
    return row[0]


def _outline(text: bytes | None, packed: bytes) -> Outline:
    """The outline that was kept, or else that of the packed ``key.json``."""
    return from_kept(text) or outline(_bytes(packed))


@lru_cache(_KEPT)
def _record(packed: bytes) -> Record:
    return read_record(_unpacked(packed))


def _unpacked(data: bytes) -> str:
    return _bytes(data).decode()


def _bytes(packed: bytes) -> bytes:
    """What was packed; a few bytes that stand for a flood are refused."""
    unpacking = zlib.decompressobj()
    found = unpacking.decompress(packed, _MOST_BYTES)
    if not unpacking.eof:
        raise ValueError("cut off, or too large")
    return found


def _points(value: object) -> float:
    if not isinstance(value, float) or not isfinite(value):
        raise ValueError(value)
    return value


def _time(at: str) -> str:
    datetime.fromisoformat(at)
    return at


@contextmanager
def _understood(path: Path) -> Iterator[None]:
    """Turn what no version of this program wrote into RecordError."""
    try:
        yield
    except UnicodeEncodeError:
        raise  # what was given, not what was read
    except _UNREADABLE as error:
        raise RecordError(
            f"The record {path} has something that this program cannot read. Update the program, "
            "or restore a copy with: workbook record restore"
        ) from error


def _unknown(code: str) -> RecordError:
    return RecordError(f"the record has no sheet with the key code {code}")


def _sheet(row: Sequence[str]) -> Sheet:
    code, student, title, form, week, folder, built, state = row
    date.fromisoformat(week or built[:10])
    _time(built)
    return Sheet(code, student, title, form, week, folder, built, _STATES[state])


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
