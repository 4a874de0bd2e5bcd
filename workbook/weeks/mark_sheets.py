"""The mark sheet printed again, with the points that are recorded.

In: an open studio. Out: ``mark-sheets/`` in the studio folder, with a table and a PDF.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from workbook.builds.publish import staging
from workbook.builds.studio_files import mark_sheet_pdf
from workbook.errors import InputError, WorkbookError
from workbook.inputs.natural_order import natural
from workbook.marking.mark_sheet import TOTAL, Marked, TableForm, mark_sheet
from workbook.pages.paper import Paper
from workbook.studio.roster import read_roster
from workbook.studio_record.model import SheetState
from workbook.typesetting.runs import unprintable
from workbook.weeks.marks import Summary, summary
from workbook.weeks.studios import OpenStudio

FOLDER = "mark-sheets"


class NoSheets(WorkbookError):
    """No sheet was set in the week."""


def write_mark_sheets(studio: OpenStudio, week: date | None = None) -> list[Path]:
    """Write the mark sheet of a week, or of all weeks; returns its table and its PDF.

    The students come in the order of the roster, those that it does not name after them; replaced
    sheets are left out. Sections that are not fully marked stay empty, and so does the total.
    Raises NoSheets, OutputError, RecordError.
    """
    day = week.isoformat() if week else ""
    found = [
        summary(studio, sheet.code)
        for sheet in studio.record.sheets()
        if sheet.state != SheetState.REPLACED and day in ("", sheet.week)
    ]
    if not found:
        raise NoSheets(f"the record has no sheet{f' of {day}' if day else ''}")
    places = _places(studio)
    last = len(places)
    found.sort(key=lambda one: (places.get(one.student, last), natural(one.student)))
    books, marks = [_row(one) for one in found], points_by_code(found)
    paper = Paper(studio.studio.build.paper)
    out, name = studio.studio.folder / FOLDER, day or "all"
    with staging(out) as new:
        table = TableForm().encoded(mark_sheet(books, marks))
        (new / f"{name}.csv").write_bytes(table)
        (new / f"{name}.pdf").write_bytes(mark_sheet_pdf(books, paper, marks))
    return [out / f"{name}.csv", out / f"{name}.pdf"]


def _places(studio: OpenStudio) -> dict[str, int]:
    """The place of each student in the roster; none if it has problems."""
    build = studio.studio.build
    try:
        rows = read_roster(studio.studio.roster, build.template_dir, unprintable=unprintable)
    except InputError:
        return {}
    return {name: place for place, name in enumerate(dict.fromkeys(row.student for row in rows))}


def points_by_code(summaries: Sequence[Summary]) -> dict[str, dict[str, str]]:
    """The points of each sheet as a mark sheet has them, by key code and column."""
    found = {}
    for one in summaries:
        points = {s.letter: f"{s.points:g}" for s in one.sections if s.points is not None}
        if one.points is not None:
            points[TOTAL] = f"{one.points:g}"
        found[one.code] = points
    return found


def _row(one: Summary) -> Marked:
    sections = tuple((section.letter, section.title, section.full) for section in one.sections)
    return Marked(one.student, one.title, one.code, sections)
