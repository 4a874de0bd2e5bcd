"""The tables of the record, and the steps from one version of them to the next.

Marks are only ever added: a correction is a new row, and triggers refuse changes. The version is
in ``user_version`` (SQLite, "PRAGMA Statements").
"""

from __future__ import annotations

_ONLY_GROW = (
    "workbook",
    "edition",
    "reason",
    "marking",
    "mark",
    "points",
    "sheet_state",
    "earlier_name",
)

_SHEET = """
CREATE VIEW sheet AS
SELECT code, student.name AS student, title, form, week, folder, built, key_json, recipe,
    COALESCE((
        SELECT state FROM sheet_state WHERE workbook = workbook.id
        ORDER BY id DESC LIMIT 1), 'out') AS state{more}
FROM workbook JOIN student ON student.id = workbook.student
JOIN edition ON edition.id = (SELECT MAX(id) FROM edition WHERE workbook = workbook.id)
ORDER BY workbook.id
"""


def _triggers(table: str) -> list[str]:
    return [
        f"CREATE TRIGGER {table}_{verb.lower()} BEFORE {verb} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, 'the record only grows'); END"
        for verb in ("UPDATE", "DELETE")
    ]


MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        "CREATE TABLE studio (id TEXT NOT NULL, made TEXT NOT NULL)",
        """CREATE TABLE student (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE,
            left_on TEXT NOT NULL DEFAULT '')""",
        """CREATE TABLE earlier_name (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            student INTEGER NOT NULL REFERENCES student,
            name TEXT NOT NULL,
            until TEXT NOT NULL)""",
        """CREATE TABLE workbook (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            code TEXT NOT NULL UNIQUE,
            student INTEGER NOT NULL REFERENCES student,
            title TEXT NOT NULL,
            form TEXT NOT NULL,
            week TEXT NOT NULL,
            built TEXT NOT NULL)""",
        """CREATE TABLE edition (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            workbook INTEGER NOT NULL REFERENCES workbook,
            folder TEXT NOT NULL,
            key_json BLOB NOT NULL,
            recipe TEXT NOT NULL,
            at TEXT NOT NULL)""",
        "CREATE INDEX editions_of_workbook ON edition (workbook)",
        "CREATE INDEX workbooks_of_student ON workbook (student)",
        """CREATE TABLE reason (
            workbook INTEGER NOT NULL REFERENCES workbook,
            section TEXT NOT NULL,
            words TEXT NOT NULL,
            PRIMARY KEY (workbook, section))""",
        """CREATE TABLE marking (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            workbook INTEGER NOT NULL REFERENCES workbook,
            way TEXT NOT NULL,
            who TEXT NOT NULL,
            at TEXT NOT NULL)""",
        "CREATE INDEX markings_of_workbook ON marking (workbook)",
        """CREATE TABLE mark (
            marking INTEGER NOT NULL REFERENCES marking,
            blank TEXT NOT NULL,
            outcome TEXT NOT NULL
                CHECK (outcome IN ('right', 'wrong', 'empty', 'not marked')),
            given TEXT NOT NULL,
            PRIMARY KEY (marking, blank)) WITHOUT ROWID""",
        """CREATE TABLE points (
            marking INTEGER NOT NULL REFERENCES marking,
            section TEXT NOT NULL,
            points REAL,
            PRIMARY KEY (marking, section)) WITHOUT ROWID""",
        """CREATE TABLE sheet_state (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            workbook INTEGER NOT NULL REFERENCES workbook,
            state TEXT NOT NULL,
            at TEXT NOT NULL)""",
        "CREATE INDEX states_of_workbook ON sheet_state (workbook)",
        _SHEET.format(more=""),
        *(trigger for table in _ONLY_GROW for trigger in _triggers(table)),
    ),
    (
        # what estimates read of a workbook, once it has marks: a small part of key_json
        """CREATE TABLE outline (
            edition INTEGER PRIMARY KEY REFERENCES edition,
            text BLOB NOT NULL)""",
        *_triggers("outline"),
        "DROP VIEW sheet",
        _SHEET.format(more=", edition.id AS edition"),
    ),
)
"""The statements that lead from each version to the next; version 0 is an empty file."""

VERSION = len(MIGRATIONS)
"""The version that this program reads and writes."""
