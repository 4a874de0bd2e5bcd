"""Progress on paper and as a table: a page for each student, one for the studio, and CSV.

In: an open studio. Out: files in the folder ``progress`` of the studio folder.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from workbook.builds.publish import staging
from workbook.design import TABLES_ON
from workbook.estimates.calibration import Calibration
from workbook.estimates.results import Cell
from workbook.exercises.skill_names import skill_name
from workbook.inputs.days import in_words
from workbook.inputs.messages import plural
from workbook.music.keys import parse_key
from workbook.pages.paper import Paper
from workbook.pages.progress import Grid, Shade, StudentPage, StudioPage, progress_pdf
from workbook.weeks.bands import studio_calibration
from workbook.weeks.progress import NO_KEY, Progress, cell_name, studio_progress
from workbook.weeks.student_files import student_files
from workbook.weeks.studios import OpenStudio

FOLDER, STUDIO, TABLE = "progress", "studio.pdf", "progress.csv"
_COLUMNS = (
    "student",
    "level",
    "skill",
    "key",
    "likely right",
    "low",
    "high",
    "boxes marked",
    "safe",
    "in words",
)


def _paper(name: str) -> Paper:
    return Paper(TABLES_ON.get(name, name))


def write_progress(studio: OpenStudio, today: date) -> list[Path]:
    """Write the pages and the table; returns the files, the studio's page first.

    Raises InputError, RecordError, OutputError.
    """
    found = studio_progress(studio, today)
    paper = _paper(studio.studio.build.paper)
    out = studio.studio.folder / FOLDER
    names = student_files(((one.student, one.level) for one in found), (STUDIO, TABLE))
    with staging(out) as new:
        (new / STUDIO).write_bytes(
            progress_pdf([], studio_page(studio, found, today), paper, "Progress of the studio")
        )
        (new / TABLE).write_text(progress_table(found), encoding="utf-8-sig", newline="")
        for one, name in zip(found, names):
            title = f"Progress: {one.student}"
            page = student_page(one, today)
            (new / name).write_bytes(progress_pdf([page], None, _paper(one.paper), title))
    return [out / name for name in (STUDIO, TABLE, *names)]


def student_pages(studio: OpenStudio, student: str, today: date) -> bytes:
    """The progress pages of one student as a PDF, one for each row of the roster.

    Raises InputError, RecordError.
    """
    found = studio_progress(studio, today, student)
    paper = _paper(found[0].paper if found else studio.studio.build.paper)
    pages = [student_page(one, today) for one in found]
    return progress_pdf(pages, None, paper, f"Progress: {student}")


def student_page(one: Progress, today: date) -> StudentPage:
    """A student's progress as it is drawn."""
    naming = one.naming
    shades = {
        (row, column): _shade(one, cell)
        for row, skill in enumerate(one.skills)
        for column, key in enumerate(one.keys)
        if (cell := Cell(skill, key)) in one.estimates
    }
    circle: dict[tuple[int, str], Shade] = {}
    for name in filter(None, one.keys):
        key = parse_key(name)
        circle[key.fifths % 12, key.mode] = Shade(one.key_mean(name))
    return StudentPage(
        f"{one.student}: progress",
        f"{one.level}, {in_words(today)}",
        Grid(
            [skill_name(skill, naming) for skill in one.skills],
            [naming.key(parse_key(key)) if key else NO_KEY for key in one.keys],
            shades,
        ),
        circle,
        [(p.week, None if p.points is None else p.points / p.full) for p in one.points],
        [sentence for _, sentence in one.weakest],
        [_names(one)] if one.new_safe else [],
        list(_remarks(one)),
    )


def _names(one: Progress) -> str:
    return "; ".join(cell_name(cell, one.naming) for cell in one.new_safe)


def _shade(one: Progress, cell: Cell) -> Shade:
    found = one.estimates[cell]
    if not found.marks:
        return Shade(None)
    return Shade(found.mean, found.high - found.low, one.is_safe(cell))


def _remarks(one: Progress) -> Sequence[str]:
    met = sum(one.met(cell) for cell in one.estimates)
    secure = sum(one.is_safe(cell) for cell in one.estimates)
    counts = f"Met: {met} of {len(one.estimates)} skills in their keys; safe: {secure}"
    told = [f"{counts} (of 100 boxes, at least {100 * one.threshold:.0f} would be right)."]
    if one.owed:
        told.append(f"Not handed in: {', '.join(one.owed)}.")
    return told


def studio_page(studio: OpenStudio, found: Sequence[Progress], today: date) -> StudioPage:
    """The studio as it is drawn: students and families, who owes what, how good the bands are."""
    families = tuple(dict.fromkeys(skill.split("/")[0] for one in found for skill in one.skills))
    shades = {}
    for row, one in enumerate(found):
        for column, family in enumerate(families):
            own = [e for c, e in one.estimates.items() if c.skill.split("/")[0] == family]
            if not own:
                continue
            met = [e for e in own if e.marks]
            mean = sum(e.mean for e in met) / len(met) if met else None
            secure = bool(own) and all(
                one.is_safe(c) for c in one.estimates if c.skill.split("/")[0] == family
            )
            shades[row, column] = Shade(mean, 0.0, secure)
    naming = found[0].naming if found else None
    remarks = []
    for one in found:
        if one.owed:
            remarks.append(f"{one.student} has not handed in {', '.join(one.owed)}.")
        if one.unmarked:
            remarks.append(
                f"{one.student}: {plural(len(one.unmarked), 'sheet')} to mark: "
                f"{', '.join(one.unmarked)}."
            )
    log = studio_calibration(studio, [one.student for one in found])
    remarks.append(calibration_told(log))
    return StudioPage(
        "Progress of the studio",
        f"{in_words(today)}",
        Grid(
            [one.student for one in found],
            [skill_name(family, naming) for family in families] if naming else [],
            shades,
        ),
        remarks,
    )


def calibration_told(log: Calibration) -> str:
    """How well the marks agreed with the estimates, in a sentence for the teacher."""
    if not log.exercises:
        return "Nothing is marked yet."
    wider = f" The bands are therefore {log.widen:g} times as wide." if log.widen > 1 else ""
    return (
        f"Of {plural(log.exercises, 'marked exercise')}, {100 * log.cover:.0f} % turned out as "
        f"earlier marks had suggested; 80 % should.{wider}"
    )


def progress_table(found: Sequence[Progress]) -> str:
    """All estimates as CSV text (RFC 4180); numbers in per cent."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(_COLUMNS)
    for one in found:
        for cell, estimate in one.estimates.items():
            numbers: list[object] = ["", "", ""]
            if estimate.marks:
                numbers = [round(100 * n) for n in (estimate.mean, estimate.low, estimate.high)]
            secure = "yes" if one.is_safe(cell) else ""
            row = (one.student, one.level, *cell, *numbers, estimate.marks, secure)
            table.writerow((*row, cell_name(cell, one.naming)))
    return out.getvalue()
