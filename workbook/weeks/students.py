"""Students renamed or gone: in the roster and in the record alike.

In: an open studio and names. Out: the same student under another name, marks and all.
"""

from __future__ import annotations

import codecs
import csv
import io
from pathlib import Path

from workbook.builds.publish import replacing
from workbook.errors import InputError, OutputError, Problem
from workbook.inputs.csv_table import CsvFault, heading, read_csv
from workbook.inputs.days import today
from workbook.inputs.files import MOST_BYTES
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.inputs.problem_log import ProblemLog, read_bytes
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
            with replacing(roster) as file:
                file.write(changed)
    except OutputError:
        if old in known:
            studio.record.rename(new, old)
        raise
    return rows


def leave(studio: OpenStudio, name: str, *, back: bool = False) -> None:
    """Note that a student left today, or is ``back``. Raises RecordError for an unknown name."""
    studio.record.leave(fold(name), "" if back else today().isoformat())


def _renamed(roster: Path, old: str, new: str) -> tuple[bytes, int]:
    """The roster with the new name, its encoding, separator and line ends kept, and the rows
    changed.
    """
    log = ProblemLog(roster.name, "row")
    data = read_bytes(roster, log, MOST_BYTES)
    if data is None:
        raise InputError(log.problems)
    try:
        table = read_csv(data, COLUMNS)
    except CsvFault as fault:
        log.add(None, fault.what, fault.instead)
        raise InputError(log.problems) from None
    names = [heading(cell) for cell in table.rows[0].cells] if table.rows else []
    if "student" not in names:
        return data, 0
    column, count = names.index("student"), 0
    marked = data.startswith(codecs.BOM_UTF8)
    encoding = "utf-8-sig" if marked else table.encoding
    text = data.decode(encoding)
    lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=table.separator))
    for cells in lines:
        if len(cells) > column and fold(cells[column]) == old:
            cells[column] = new
            count += 1
    out = io.StringIO()
    end = "\r\n" if "\r\n" in text else "\n"
    csv.writer(out, delimiter=table.separator, lineterminator=end).writerows(lines)
    try:
        return out.getvalue().encode(encoding), count
    except UnicodeEncodeError:
        what = "has bytes that are no character;"
        raise InputError([Problem("the new name", "", what, "write it again")]) from None
