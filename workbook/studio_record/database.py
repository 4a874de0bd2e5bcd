"""The file of the record: opened so that nothing is lost, and migrated to the current version.

In: a path. Out: a connection. The journal is deleted after each transaction instead of kept
beside the file, so that a copy of the file alone is complete between transactions; each
transaction is on the disk before it is reported (SQLite, "PRAGMA journal_mode" and
"PRAGMA synchronous").
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from workbook.errors import WorkbookError
from workbook.inputs.files import real
from workbook.inputs.messages import reason
from workbook.studio_record.schema import MIGRATIONS, VERSION

BUSY_SECONDS = 10.0
"""How long to wait for another command that is writing."""
APPLICATION = 0x77627263
"""Tells a record from other SQLite files ("wbrc")."""


class RecordError(WorkbookError):
    """The record cannot be read or written; the text says what to do."""


def connect(path: Path) -> sqlite3.Connection:
    """A connection to the record at ``path``, which is made if it is missing.

    A record of an older version is first copied beside itself, then changed in one
    transaction. Raises RecordError for a newer version, for damage, and for a file that is no
    record.
    """
    with told(path):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
        try:
            _prepare(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA trusted_schema = OFF")
    version = _number(connection, "user_version")
    application = _number(connection, "application_id")
    if version == 0 and _number(connection, "page_count") == 0:
        connection.execute("PRAGMA journal_mode = DELETE")
    elif application != APPLICATION:
        raise RecordError(
            f"{path} is not a record of marks made by this program; move it elsewhere"
        )
    if version > VERSION:
        raise RecordError(
            f"{path} was written by a newer version of this program (its version is {version}, "
            f"the newest known here is {VERSION}); update the program to read it"
        )
    if version < VERSION:
        if version:
            _copy(connection, path.with_name(f"{path.name}.version-{version}"))
        _migrate(connection)


def _migrate(connection: sqlite3.Connection) -> None:
    with transaction(connection):
        # another process may have been quicker
        version = _number(connection, "user_version")
        for statements in MIGRATIONS[version:]:
            for statement in statements:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {VERSION}")


def _copy(connection: sqlite3.Connection, target: Path) -> None:
    with closing(sqlite3.connect(target)) as copy:
        connection.backup(copy)


def copy_file(source: Path, target: Path) -> None:
    """Copy a record as it is, without migrating it."""
    with closing(sqlite3.connect(source)) as connection:
        _copy(connection, target)


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    (value,) = connection.execute(f"PRAGMA {pragma}").fetchone()
    return int(value)


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All writes of the block, or none of them. Waits for other writers when it begins."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):  # SQLite may have rolled back already
            connection.execute("ROLLBACK")
        raise


_ADVICE = {
    "SQLITE_BUSY": "another command is writing to it; try again when that has finished",
    "SQLITE_FULL": "the disk is full; make room, then try again",
    "SQLITE_READONLY": "it cannot be written; check its permissions",
    "SQLITE_CANTOPEN": "it cannot be opened; check the permissions of its folder",
    "SQLITE_PERM": "it cannot be opened; check its permissions",
    "SQLITE_IOERR": "the disk failed to read or write; nothing was saved",
    "SQLITE_CORRUPT": "it is damaged; restore a copy with: workbook record restore",
    "SQLITE_NOTADB": "it is damaged; restore a copy with: workbook record restore",
}


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn errors of SQLite and of the disk into RecordError, with what to do."""
    try:
        yield
    except sqlite3.Error as error:
        name = getattr(error, "sqlite_errorname", "")
        advice = next((words for code, words in _ADVICE.items() if name.startswith(code)), "")
        raise RecordError(f"The record {path}: {advice or error}.") from error
    except OSError as error:
        raise RecordError(f"The record {path}: {reason(error)}.") from error


def version_of(path: Path) -> int:
    """The version of a sound record."""
    with closing(_there(path)) as connection:
        return _number(connection, "user_version")


def owner_of(path: Path) -> str:
    """The id of the studio of a sound record, or ""."""
    with closing(_there(path)) as connection:
        row = connection.execute("SELECT id FROM studio").fetchone()
    return str(row[0]) if row else ""


def _there(path: Path) -> sqlite3.Connection:
    """A connection to a file that is there."""
    # not read-only: SQLite first takes back what a killed process left half written
    return sqlite3.connect(f"{real(path).as_uri()}?mode=rw", uri=True)


def fault(path: Path) -> str:
    """What is wrong with a record, in a sentence; "" if it is whole."""
    try:
        with closing(_there(path)) as connection:
            if _number(connection, "application_id") != APPLICATION:
                return "it is not a record of marks of this program"
            version = _number(connection, "user_version")
            if not 0 < version <= VERSION:
                return f"its version is {version}, the newest known here is {VERSION}"
            (found,) = connection.execute("PRAGMA quick_check").fetchone()
            if found != "ok":
                return "it is damaged"
            if connection.execute("PRAGMA foreign_key_check").fetchone():
                return "some marks belong to no workbook"
    except (sqlite3.Error, OSError, ValueError):
        return "it is damaged, or not a record"
    return ""
