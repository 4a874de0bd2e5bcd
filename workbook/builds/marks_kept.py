"""Marks that were entered while a build was being put in place.

In: the new mark sheet and the one that a person changed. Out: the new one with these marks.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from workbook.builds.journal import synced
from workbook.builds.studio_files import mark_table_files
from workbook.inputs.files import read_file
from workbook.marking.mark_sheet import TOTAL, Marked
from workbook.marking.mark_table import TableRow, limited, read_mark_table
from workbook.record.files import MARK_TABLE


def merge(new: Path, theirs: Path, folder: Path) -> str:
    """Replace the table ``theirs`` with ``new`` and the marks of ``theirs``.

    If ``theirs`` has entries that ``new`` has no place for, it is kept beside it. ``folder`` takes
    the unfinished file. Returns a sentence. Doing it again changes nothing. Raises OSError.
    """
    books = list(map(_marked, read_mark_table(new.read_bytes()).rows))
    place = theirs.parent
    files, notice = mark_table_files(
        books, read_file(theirs), lambda name: os.path.lexists(place / name)
    )
    table = files.pop(MARK_TABLE)
    for name, data in files.items():
        _write_new(place / name, data)
    half = folder / "merged.half"
    half.unlink(missing_ok=True)
    _write_new(half, table)
    half.chmod(stat.S_IMODE(theirs.stat().st_mode))
    os.replace(half, theirs)  # noqa: PTH105
    new.unlink()
    return notice or (
        f"{theirs} was changed after the build started; what you entered is in the new mark sheet."
    )


def _write_new(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
    synced([path])


def _marked(row: TableRow) -> Marked:
    """The workbook of a row; the titles of its sections are in no table."""
    sections = tuple(
        (column.upper(), "", int(cell.text))
        for cell in row.cells
        if (column := limited(cell.name)) and column != TOTAL
    )
    return Marked(row.student, row.title, row.code, sections)
