"""Records of marks that are broken, foreign or no records: restored, or lying in their place."""

from __future__ import annotations

import sqlite3
import tempfile
import zlib
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from random import Random

from bad_studios import CODES, COMMANDS, kept
from case import Case, random
from hostile import spoiled, text, toml_value
from made import AROUND, STUDIO, Made

_HERE = ("--studio", STUDIO)


def studio_record(number: int, made: Made) -> Case:
    """A record to be restored, or in the place of the studio's own when a command is run."""
    rng = random("studio record", number)
    bad = _damaged(rng, made.begun[made.record])
    files = dict(made.begun)
    if number % 3 == 0:
        files["copy.sqlite"] = bad
        words = ("record", "restore", "copy.sqlite", "--yes", *_HERE)
        lost, changes = kept(made, made.begun[made.record]), ()
    else:
        files[made.record] = bad
        words, lost = _command(rng.choice(COMMANDS[:10]), made), _nothing
        changes = ("data/",)  # a mark is in the record before anything else is read
    return Case(
        "studio record",
        number,
        words,
        files,
        codes=CODES,
        changes=changes,
        lost=lost,
        then=tuple(_command(words, made) for words in rng.sample(COMMANDS[:5], 2)),
        environment=AROUND,
    )


def _command(words: tuple[str, ...], made: Made) -> tuple[str, ...]:
    return (*(made.code if one == "CODE" else one for one in words), *_HERE)


def _nothing(folder: Path) -> str:
    return ""


def _damaged(rng: Random, data: bytes) -> bytes:
    kind = rng.randrange(10)
    if kind == 0:
        return rng.choice((b"", b"SQLite format 3\0", b"\0" * 8192, b"PK\x03\x04", b"[term]\n"))
    if kind == 1:
        return data[: rng.randrange(len(data))]
    if kind < 4:
        for _ in range(rng.choice((1, 5, 50))):
            data = spoiled(rng, data)
        return data
    return _changed(data, [rng.choice(_STATEMENTS)(rng) for _ in range(rng.randint(1, 2))])


def _changed(data: bytes, statements: list[tuple[str, tuple[object, ...]]]) -> bytes:
    """The record after statements that the program itself would never make."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "record.sqlite")
        file.write_bytes(data)
        with closing(sqlite3.connect(file, isolation_level=None)) as connection:
            for (name,) in connection.execute(
                "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            ).fetchall():
                connection.execute(f"DROP TRIGGER {name}")
            for statement, values in statements:
                with suppress(sqlite3.OperationalError):  # of what the first has dropped
                    connection.execute(statement, values)
        return file.read_bytes()


def _say(statement: str, *values: object) -> Callable[[Random], tuple[str, tuple[object, ...]]]:
    return lambda rng: (statement, values)


def _key_json(rng: Random) -> tuple[str, tuple[object, ...]]:
    value = rng.choice(
        (
            b"",
            b"not packed",
            zlib.compress(b"{}"),
            zlib.compress(b"[" * 100_000),
            zlib.compress(b'{"version": 99}'),
            zlib.compress(b"\xff\xfe"),
            zlib.compress(b" " * 100_000_000),
            "text",
            7,
        )
    )
    return "UPDATE edition SET key_json = ?", (value,)


_STATEMENTS: tuple[Callable[[Random], tuple[str, tuple[object, ...]]], ...] = (
    _key_json,
    _key_json,
    _key_json,
    _say("PRAGMA application_id = 1"),
    _say("PRAGMA user_version = 0"),
    _say("PRAGMA user_version = 1"),
    _say("PRAGMA user_version = 3"),
    _say("PRAGMA user_version = 2147483647"),
    _say("UPDATE studio SET id = 'ffffffffffffffff'"),
    _say("DELETE FROM studio"),
    _say("DROP TABLE mark"),
    _say("DROP TABLE outline"),
    _say("UPDATE outline SET text = x'ff'"),
    _say("UPDATE outline SET text = 7"),
    _say("UPDATE outline SET text = '[1, 2]'"),
    _say("UPDATE outline SET edition = edition + 1"),
    _say("DROP VIEW sheet"),
    _say("ALTER TABLE marking RENAME COLUMN way TO path"),
    _say("DELETE FROM student"),
    _say("DELETE FROM edition"),
    _say("UPDATE workbook SET student = 99"),
    _say("UPDATE mark SET blank = '99.99'"),
    _say("UPDATE marking SET way = 'guessed'"),
    _say("UPDATE marking SET at = 'yesterday'"),
    _say("INSERT INTO points VALUES (1, 'ZZ', 9e999)"),
    _say("INSERT INTO points VALUES (1, 'A', 'many')"),
    _say("INSERT INTO sheet_state (workbook, state, at) VALUES (1, 'eaten', '')"),
    lambda rng: ("UPDATE student SET name = ?", (text(rng).replace("\ud800", ""),)),
    lambda rng: ("UPDATE edition SET recipe = ?", (rng.choice(("", "{}", "[]", "x", "null")),)),
    lambda rng: (
        "UPDATE edition SET folder = ?",
        (rng.choice(("", "/etc", "../..", "a/b", "2027-01-12", "x" * 5000)),),
    ),
    lambda rng: ("UPDATE workbook SET week = ?", (toml_value(rng),)),
    lambda rng: ("UPDATE workbook SET code = ?", (rng.choice(("", "x", "../AAA", "AAA-AAA")),)),
)
"""What happens to records in other hands."""
