"""Students renamed or gone: in the roster and in the record alike.

In: an open studio and names. Out: the same student under another name, marks and all.
"""

from __future__ import annotations

import csv
import io
import os
from datetime import date
from pathlib import Path

from workbook.errors import InputError, OutputError, Problem
from workbook.inputs.csv_table import CsvFault, heading, read_csv
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.studio.roster import COLUMNS
from workbook.weeks.studios import OpenStudio


def rename(studio: OpenStudio, old: str, new: str) -> int:
    """Rename a student in the record and in every row of the roster; returns the rows changed.

    Raises RecordError if another student has the new name, InputError if nobody has the old
    one, OutputError if the roster cannot be written; nothing is changed then.
    """
    old, new = fold(old), fold(new)
    if not has_ink(new):
        raise InputError([Problem("the new name", "", "is empty;", "write a name")])
    roster = studio.studio.roster
    changed, rows = _renamed(roster, old, new)
    known = {student.name for student in studio.record.students()}
    if not rows and old not in known:
        hint = did_you_mean(old, sorted(known)) or "write the name as the roster has it"
        raise InputError([Problem(roster.name, "", f"there is no student {quoted(old)};", hint)])
    if old in known:
        studio.record.rename(old, new)
    try:
        if rows:
            _replace(roster, changed)
    except OSError as error:
        if old in known:
            studio.record.rename(new, old)
        raise OutputError(f"cannot write {roster}: {error.strerror or error}") from None
    return rows


def leave(studio: OpenStudio, name: str, *, back: bool = False) -> None:
    """Note that a student left today, or is ``back``. Raises RecordError for an unknown name."""
    today = date.today().isoformat()  # noqa: DTZ011  (the teacher's own day)
    studio.record.leave(fold(name), "" if back else today)


def _renamed(roster: Path, old: str, new: str) -> tuple[bytes, int]:
    """The roster with the new name, its separator and line ends kept, and the rows changed."""
    try:
        data = roster.read_bytes()
        table = read_csv(data, COLUMNS)
    except OSError as error:
        raise InputError([Problem(roster.name, "", f"cannot be read: {error.strerror};")]) from None
    except CsvFault as fault:
        raise InputError([Problem(roster.name, "", fault.what, fault.instead)]) from None
    if not table.rows:
        return data, 0
    names = [heading(cell) for cell in table.rows[0].cells]
    if "student" not in names:
        return data, 0
    column, count = names.index("student"), 0
    text = data.decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=table.separator))
    for cells in lines:
        if len(cells) > column and fold(cells[column]) == old:
            cells[column] = new
            count += 1
    out = io.StringIO()
    end = "\r\n" if "\r\n" in text else "\n"
    csv.writer(out, delimiter=table.separator, lineterminator=end).writerows(lines)
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    return mark + out.getvalue().encode(), count


def _replace(path: Path, data: bytes) -> None:
    half = path.with_name(f".{path.name}.{os.urandom(4).hex()}.part")
    try:
        half.write_bytes(data)
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
