"""Who has which sheet, who returned it, and the files of a sheet.

In: an open studio. Out: the students in the order of the roster, each with the last sheet and
with older ones that are still to be marked.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from workbook.builds.print_jobs import print_job
from workbook.errors import InputError, Problem, WorkbookError
from workbook.inputs.files import real
from workbook.inputs.natural_order import natural
from workbook.record.files import ANSWER_KEY, ANSWERS, WORKBOOK
from workbook.studio.roster import Row, read_roster
from workbook.studio_record.model import Sheet, SheetState
from workbook.typesetting.runs import unprintable
from workbook.weeks.marks import sheet_points
from workbook.weeks.studios import OpenStudio

KINDS = {"workbook": WORKBOOK, "answer-key": ANSWER_KEY, "answers": ANSWERS}


class NoFile(WorkbookError):
    """A file of a sheet is not where the build put it."""


@dataclass(frozen=True)
class SheetLine:
    """A sheet at a glance.

    ``points`` is None while boxes are not marked; ``marked`` says whether any box is.
    """

    sheet: Sheet
    marked: bool
    points: float | None
    full: int

    @property
    def told(self) -> str:
        """Where the sheet is, in words."""
        if self.marked:
            return "back" if self.points is not None else "partly marked"
        return "not handed in" if self.sheet.state == SheetState.NOT_HANDED_IN else "out"


@dataclass(frozen=True)
class StudentWeek:
    """A student with the sheets to see this week, the newest first.

    ``id`` is that of the record, None before the first sheet. ``levels`` are the titles of the
    student's templates. ``on_roster`` is False for students of the record whom the roster does
    not name.
    """

    student: str
    id: int | None
    levels: tuple[str, ...]
    sheets: tuple[SheetLine, ...]
    on_roster: bool = True


@dataclass(frozen=True)
class Week:
    """The students, and what is wrong with roster and templates."""

    students: tuple[StudentWeek, ...]
    problems: tuple[Problem, ...]


def this_week(studio: OpenStudio) -> Week:
    """The students and their sheets. A faulty roster is reported, and the record's names are shown.

    Raises RecordError.
    """
    rows: tuple[Row, ...] = ()
    problems: tuple[Problem, ...] = ()
    try:
        rows = read_roster(
            studio.studio.roster, studio.studio.build.template_dir, unprintable=unprintable
        )
    except InputError as error:
        problems = error.problems
    levels: dict[str, list[str]] = {}
    for row in rows:
        levels.setdefault(row.student, []).append(row.template.title)
    students = studio.record.students()
    ids = {student.name: student.id for student in students}
    others = [one.name for one in students if one.name not in levels and not one.left_on]
    others.sort(key=natural)
    marked = studio.record.last_marked()
    sheets: dict[str, list[Sheet]] = {}
    for sheet in studio.record.sheets():
        if sheet.state != SheetState.REPLACED:
            sheets.setdefault(sheet.student, []).append(sheet)

    def week(name: str, titles: list[str], on_roster: bool) -> StudentWeek:
        shown = _shown(sheets.get(name, []), set(marked))
        lines = tuple(_line(studio, sheet, sheet.code in marked) for sheet in shown)
        return StudentWeek(name, ids.get(name), tuple(dict.fromkeys(titles)), lines, on_roster)

    found = [week(name, titles, True) for name, titles in levels.items()]
    found += [week(name, [], bool(problems)) for name in others]
    return Week(tuple(found), problems)


def all_sheets(studio: OpenStudio, student: str) -> list[SheetLine]:
    """Every sheet of a student, the newest first; replaced ones only if they have marks."""
    marked = studio.record.last_marked()
    return [
        _line(studio, sheet, sheet.code in marked)
        for sheet in sorted(studio.record.sheets(student), key=lambda one: one.week, reverse=True)
        if sheet.state != SheetState.REPLACED or sheet.code in marked
    ]


def _shown(sheets: list[Sheet], marked: set[str]) -> list[Sheet]:
    """The sheets of the last week, and older ones that are out and have no mark."""
    last = max((sheet.week for sheet in sheets), default="")
    shown = [
        sheet
        for sheet in sheets
        if sheet.week == last or (sheet.state == SheetState.OUT and sheet.code not in marked)
    ]
    return sorted(shown, key=lambda sheet: sheet.week, reverse=True)


_MOST_KEPT = 2_000
_points: dict[tuple[str, str], tuple[tuple[int, str | None], float | None, int]] = {}
"""The points of sheets by studio and key code, each with the number of its last marking and the
studio's rule: to add them up, the sheet must be read."""


def _line(studio: OpenStudio, sheet: Sheet, marked: bool) -> SheetLine:
    if not marked:
        return SheetLine(sheet, False, None, 0)
    code, record = sheet.code, studio.record
    version, place = (record.version(code), studio.studio.rule), (studio.studio.id, code)
    known = _points.get(place)
    if known is None or known[0] != version:
        found = record.outline(code)
        outcomes = {blank: mark.outcome for blank, mark in record.marks(code).items()}
        points = sheet_points(studio, found, outcomes, record.points(code))
        known = _points[place] = version, points, found.points
        if len(_points) > _MOST_KEPT:
            _points.clear()
    return SheetLine(sheet, True, known[1], known[2])


def sheet_file(studio: OpenStudio, code: str, kind: str) -> Path:
    """The file of a sheet; ``kind`` is one of KINDS.

    Raises RecordError for a key code that is not known, NoFile if the file is not there or a
    link leads out of the studio folder.
    """
    folder = real(studio.studio.folder)
    named = Path(studio.record.sheet(code).folder, KINDS[kind])
    file = real(folder / named)
    if not file.is_relative_to(folder) or not file.is_file():
        raise NoFile(
            f"There is no file {named} in the studio folder. To make the sheet again: "
            f"workbook record remake {code} --out FOLDER"
        )
    return file


def week_file(studio: OpenStudio, day: str, kind: str) -> bytes:
    """The files of all sheets of a week as one print job, in the order of the roster.

    ``day`` is the week's day as the record has it, ``kind`` one of KINDS. Raises NoFile if no
    sheet was set for that day or a file is missing, InputError if the pages differ in size.
    """
    students = [one.student for one in this_week(studio).students]
    sheets = [
        sheet
        for sheet in studio.record.sheets()
        if sheet.week == day and sheet.state != SheetState.REPLACED
    ]
    if not day or not sheets:
        raise NoFile("No sheet was set for this day.")
    last = len(students)
    sheets.sort(key=lambda one: students.index(one.student) if one.student in students else last)
    files = [sheet_file(studio, sheet.code, kind) for sheet in sheets]
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "all.pdf")
        print_job(files, out)
        return out.read_bytes()
