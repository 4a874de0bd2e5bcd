"""Enters sheets on disk that are missing from the record.

In: a studio folder. Out: the studio, open, with every sheet of its weeks in the record. A
command that was killed between the moment when its sheets were in place and their entry, or a
record restored from an older copy, leaves such sheets. What they were made from is lost.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from workbook.builds.recovery import FOLDER_LOCK, PREFIX, Notice, reading
from workbook.inputs.files import read_file
from workbook.inputs.messages import plural, reason
from workbook.inputs.natural_order import natural_path
from workbook.locks import Lock, take
from workbook.record.files import KEY
from workbook.record.model import Record
from workbook.record.reader import Unreadable, read_record
from workbook.studio_record.model import SetWorkbook, Sheet, SheetState
from workbook.temporary import named
from workbook.weeks.studios import OpenStudio, opened

_WEEK = re.compile(r"(?:exam-)?(\d{4}-\d\d-\d\d)(?:-\d+)?\Z")


@contextmanager
def opened_whole(folder: Path, notice: Notice) -> Iterator[OpenStudio]:
    """The studio in ``folder``, open, after what killed commands left in it was repaired.

    ``notice`` is called with a sentence for each thing done. Raises what ``opened`` raises,
    OutputError if a build is half in place and cannot be finished, and WorkbookError if
    sheets were replaced while they were being read.
    """
    with opened(folder) as studio:
        begun = [week for week in _weeks(folder) if named(week, PREFIX) or _only_locked(week)]
        steady = reading([folder], notice)
        free, lock = _lock(folder)
        if free:  # a command that is setting sheets enters them itself
            try:
                for week in begun:
                    _remove_begun(week)
                for sentence in adopt(studio):
                    notice(sentence)
                steady.check()
            finally:
                if lock:
                    lock.release()
        yield studio


def _lock(folder: Path) -> tuple[bool, Lock | None]:
    """Whether no other command is setting sheets, and the lock that keeps it so."""
    try:
        lock = take(folder / FOLDER_LOCK)
    except OSError:  # a folder without locks, or one that cannot be written
        return True, None
    return lock is not None, lock


def _only_locked(week: Path) -> bool:
    try:
        return [path.name for path in week.iterdir()] == [FOLDER_LOCK]
    except OSError:  # it may not be read, or has just gone
        return False


def _remove_begun(week: Path) -> None:
    """Remove the folder of a week in which a killed command left nothing, or only its lock."""
    with suppress(OSError):  # it has sheets
        if _only_locked(week) and (lock := take(week / FOLDER_LOCK)):
            lock.release()
        week.rmdir()


def adopt(studio: OpenStudio) -> list[str]:
    """Enter the sheets of the week folders that are missing from the record.

    A sheet that replaced another in its folder replaces it in the record, too. Returns
    a sentence for each folder, and for each file that cannot be read. Raises RecordError.
    """
    known = studio.record.sheets()
    names = _present_names(studio)
    told: list[str] = []
    entered: Counter[str] = Counter()
    for file in _keys(studio.studio.folder):
        place = file.parent.relative_to(studio.studio.folder)
        here = [sheet for sheet in known if sheet.folder == place.as_posix()]
        if here and not _newer(file, here):
            continue
        try:
            text = read_file(file).decode("utf-8")
            workbook = read_record(text)
        except (OSError, UnicodeDecodeError, Unreadable) as error:
            told.append(f"{place / KEY} is not in the record and cannot be read: {_why(error)}.")
            continue
        if _enter(studio, place.as_posix(), text, workbook, here, names):
            entered[place.parts[0]] += 1
    if entered:
        studio.save()
    return told + [
        f"{week}: {plural(count, 'sheet')} {'was' if count == 1 else 'were'} missing from the "
        f"record; {'it has' if count == 1 else 'they have'} been added and can be marked."
        for week, count in entered.items()
    ]


def _keys(folder: Path) -> Iterator[Path]:
    for week in _weeks(folder):
        found = [
            file
            for file in week.rglob(KEY)
            if not any(part.startswith(".") for part in file.relative_to(folder).parts)
        ]
        yield from sorted(found, key=natural_path)


def _weeks(folder: Path) -> list[Path]:
    """The folders of weeks and exams, in their order."""
    inside = sorted(folder.iterdir(), key=natural_path)
    return [one for one in inside if _WEEK.match(one.name) and one.is_dir()]


def _newer(file: Path, here: list[Sheet]) -> bool:
    """Whether the file was written after the sheets of its folder were entered."""
    written = datetime.fromtimestamp(file.stat().st_mtime, UTC)
    return written > max(datetime.fromisoformat(sheet.built) for sheet in here)


def _present_names(studio: OpenStudio) -> dict[str, str]:
    """The present name of each student by the earlier ones."""
    students = studio.record.students()
    found = {old: one.name for one in students for old in one.earlier_names}
    return found | {one.name: one.name for one in students}


def _enter(
    studio: OpenStudio,
    place: str,
    text: str,
    workbook: Record,
    here: list[Sheet],
    names: dict[str, str],
) -> bool:
    """Enter a sheet found in the folder ``place``, unless the record has it; whether it was new.

    ``here`` are the sheets that the record has in that folder.
    """
    record, code = studio.record, workbook.code
    week = _WEEK.match(place.split("/", maxsplit=1)[0])
    known = record.knows(code)
    out = [sheet.code for sheet in here if sheet.state != SheetState.REPLACED]
    if known and (not here or (record.key_json(code) == text and code in out)):
        return False
    if known and {blank.id for blank in record.workbook(code).blanks} != {
        blank.id for blank in workbook.blanks
    }:
        return False  # a file that somebody changed; the record keeps what was handed out
    student = names.get(workbook.student, workbook.student)
    recipe = record.recipe(code) if known else ""
    one = SetWorkbook(
        code,
        student,
        workbook.title,
        workbook.form,
        week[1] if week else "",
        place,
        text,
        recipe,
    )
    record.add([one], replacing=True)
    for other in out:
        if other != code:
            record.tell(other, SheetState.REPLACED)
    if known and record.sheet(code).state == SheetState.REPLACED:
        record.tell(code, SheetState.OUT)
    return True


def _why(error: OSError | UnicodeDecodeError | Unreadable) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "it is not UTF-8 text"
    return reason(error) if isinstance(error, OSError) else str(error)
