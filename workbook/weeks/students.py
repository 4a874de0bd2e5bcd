"""Renames students, or notes that they have left, in both roster and record.

In: an open studio and names. Out: the same student under another name, with all marks.
"""

from __future__ import annotations

from pathlib import Path

from workbook.builds.publish import rewriting
from workbook.errors import InputError, OutputError, Problem
from workbook.inputs.days import today
from workbook.inputs.messages import fold, has_ink, quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.weeks.roster_table import edited, read_table
from workbook.weeks.studios import OpenStudio


def rename(studio: OpenStudio, old: str, new: str) -> int:
    """Rename a student in the record and in every row of the roster; returns the rows changed.

    Raises RecordError if another student has the new name, InputError if nobody has the old
    one, OutputError if the roster cannot be written; nothing is changed then.
    """
    old, new = fold(old), fold(new)
    if any("\ud800" <= char <= "\udfff" for char in new):
        what = "has bytes that are not valid text;"
        raise InputError([Problem("the new name", "", what, "write it again")])
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
            with rewriting(roster) as file:
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
    """The roster with the new name, all else as it was, and the rows changed."""
    table = read_table(roster)
    column = table.column("student")
    if column is None:
        return table.data, 0
    cells = {(row.number, column): new for row in table.rows if fold(row.cells[column]) == old}
    return edited(table, cells), len(cells)
