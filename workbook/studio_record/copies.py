"""Copies of the record in the studio folder, and the table of all marks.

In: an open record. Out: ``record/2027-01-12.sqlite`` and ``record/marks.csv`` in the studio
folder. The newest copy of each day is kept. Copies that a program for shared folders makes
beside ours have other names and are not touched.
"""

from __future__ import annotations

import csv
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path

from workbook.inputs.days import today
from workbook.marking.mark_sheet import as_text
from workbook.studio_record.database import (
    RecordError,
    copy_file,
    fault,
    owner_of,
    told,
    version_of,
)
from workbook.studio_record.record import StudioRecord
from workbook.studio_record.schema import VERSION

FOLDER, TABLE = "record", "marks.csv"
_NOTES = "-journal"
"""What SQLite calls the notes of a transaction, behind the name of the record."""
_COPY = re.compile(r"\d{4}-\d\d-\d\d\.sqlite\Z")
_COLUMNS = (
    "student",
    "workbook",
    "key code",
    "week",
    "exercise",
    "box",
    "skill",
    "key",
    "answer",
    "outcome",
    "given",
    "way",
    "by",
    "marked at",
)


def save_copies(
    record: StudioRecord, studio: Path, day: date | None = None, *, marks: bool = True
) -> Path:
    """Copy the record, and write the table of marks, into the studio folder.

    A copy is checked before it takes its name. Without ``marks``, a table that is newer than
    the last mark stays as it is. Raises RecordError, and nothing is written, for marks that
    cannot be read.
    """
    folder = studio / FOLDER
    target = folder / f"{day or today()}.sqlite"
    with told(target):
        folder.mkdir(parents=True, exist_ok=True)
        half, table = _part(target), _part(folder / TABLE)
        wanted = marks or not _newest(record, folder / TABLE)
        try:
            if wanted:
                _write_table(record, table)
            record.backup(half)
            if wrong := fault(half):
                raise RecordError(f"The copy {target} was not made: {wrong}.")
            _on_disk(half)
            half.replace(target)
            if wanted:
                table.replace(folder / TABLE)
        finally:
            half.unlink(missing_ok=True)
            table.unlink(missing_ok=True)
    return target


def save_table(record: StudioRecord, studio: Path) -> None:
    """Write the table of marks into the studio folder if it is older than the last mark.

    Raises RecordError, and nothing is written, for marks that cannot be read.
    """
    target = studio / FOLDER / TABLE
    if _newest(record, target):
        return
    with told(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        table = _part(target)
        try:
            _write_table(record, table)
            table.replace(target)
        finally:
            table.unlink(missing_ok=True)


def _part(target: Path) -> Path:
    """A name for a file until it is whole."""
    return target.with_name(f".{target.name}.{os.urandom(4).hex()}.part")


def _newest(record: StudioRecord, table: Path) -> bool:
    """Whether the table was written after the last mark, by full seconds."""
    last = max(record.last_marked().values(), default="")
    try:
        written = datetime.fromtimestamp(int(table.stat().st_mtime), UTC)
    except OSError:
        return False
    return not last or written > datetime.fromisoformat(last)


def _on_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def copies(studio: Path) -> list[Path]:
    """The copies in a studio folder, the newest first."""
    try:
        found = [path for path in (studio / FOLDER).iterdir() if _COPY.match(path.name)]
    except OSError:
        return []
    return sorted(found, reverse=True)


def restore(copy: Path, path: Path, studio: str) -> None:
    """Make the record of ``studio`` at ``path`` from a copy; one that is there is kept beside it.

    The copy stays as it is, of whatever version; the record is migrated when it is opened. Raises
    RecordError if the copy is damaged or another studio's; nothing is changed then.
    """
    if wrong := fault(copy) or _unread(copy) or _foreign(copy, studio):
        raise RecordError(f"{copy} cannot be used: {wrong}.")
    with told(path):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        half = path.with_name(f".{path.name}.{os.urandom(4).hex()}.part")
        try:
            copy_file(copy, half)
            _on_disk(half)
            _keep(path)
            half.replace(path)
        finally:
            half.unlink(missing_ok=True)


def _foreign(copy: Path, studio: str) -> str:
    owner = owner_of(copy)
    return f"it is the record of another studio ({owner})" if owner not in ("", studio) else ""


def _unread(copy: Path) -> str:
    """What is wrong with a copy of this version whose tables are whole."""
    if version_of(copy) < VERSION:
        return ""  # only a newer record can be read
    try:
        with StudioRecord(copy) as record:
            record.read_through()
    except RecordError:
        return "it has something that this program cannot read"
    return ""


def _keep(path: Path) -> None:
    """Give a record a second name, so that there is one at ``path`` until the new one is.

    SQLite's notes beside it are moved, too: they would spoil the new record.
    """
    number = 1
    while any(path.with_name(f"{path.name}.before-{number}{end}").exists() for end in ("", _NOTES)):
        number += 1
    kept = path.with_name(f"{path.name}.before-{number}")
    if path.exists():
        try:
            kept.hardlink_to(path)
        except OSError:  # a disk without hard links
            shutil.copy2(path, kept)
            _on_disk(kept)
    with suppress(FileNotFoundError):
        path.with_name(path.name + _NOTES).replace(kept.with_name(kept.name + _NOTES))


def _write_table(record: StudioRecord, path: Path) -> None:
    """Write every mark in the record, and every correction, as CSV (RFC 4180)."""
    with path.open("w", encoding="utf-8-sig", newline="") as out:
        table = csv.writer(out, lineterminator="\r\n")
        table.writerow(_COLUMNS)
        table.writerows(_rows(record))


def _rows(record: StudioRecord) -> Iterator[list[str]]:
    for sheet in record.sheets():
        markings = record.history(sheet.code)
        if not markings:
            continue
        places = {
            blank.id: (item, number, blank)
            for item in record.answered(sheet.code)
            for number, blank in enumerate(item.blanks, 1)
        }
        head = (sheet.student, sheet.title, sheet.code, sheet.week)
        for marking in markings:
            tail = (marking.way, marking.who, marking.at)
            for name, (item, number, blank) in places.items():
                mark = marking.marks.get(name)
                if mark is None:
                    continue
                row: tuple[object, ...] = (
                    item.number,
                    number,
                    item.skill,
                    item.key,
                    blank.answer,
                )
                yield _cells(*head, *row, mark.outcome, mark.given, *tail)
            for section, points in marking.points.items():
                value = "taken back" if points is None else f"{points:g} points"
                row = (f"section {section}", "", "", "", "")
                yield _cells(*head, *row, value, "", *tail)


def _cells(*values: object) -> list[str]:
    """The cells of a row, with nothing that a spreadsheet program takes for a formula."""
    return [_cell(str(value)) for value in values]


_cell = lru_cache(4096)(as_text)
"""Most cells of the table are those of many rows."""
