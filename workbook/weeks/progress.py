"""What is seen of a student and of the studio: estimates, points, weak spots, what became safe.

In: an open studio. Out: plain values that pages, tables and screens show alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from workbook.estimates.calibration import Calibration, Course, calibration, course
from workbook.estimates.results import Cell, Estimate, safe, week_of
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key
from workbook.music.naming import Naming
from workbook.planning.cells import Levels
from workbook.studio.roster import Row, read_roster
from workbook.studio.row_settings import paper_name, worded
from workbook.studio_record.model import SheetState
from workbook.weeks.marks import sheet_points
from workbook.weeks.results import MarkedSheet, marked_sheets, results
from workbook.weeks.studios import OpenStudio

_HANDS = {"right": "right hand", "left": "left hand", "both": "hands together"}
WEAKEST = 3
"""The number of weak spots that are named."""


@dataclass(frozen=True)
class WeekPoints:
    """The points of one sheet; ``points`` is None if it is not fully marked."""

    week: str
    title: str
    code: str
    points: float | None
    full: int


@dataclass(frozen=True)
class Progress:
    """What the record says of a student at a level.

    ``skills`` and ``keys`` are those of the level, in the order of its template and of the
    row; ``estimates`` has the cells of both. ``weakest`` has a cell and a sentence each.
    ``new_safe`` are cells that became safe with the last marks. ``owed`` are sheets
    that were not handed in, ``unmarked`` those without a mark. ``naming`` and ``paper`` have
    the student's words and the name of the student's paper.
    """

    student: str
    level: str
    skills: tuple[str, ...]
    keys: tuple[str, ...]
    estimates: Mapping[Cell, Estimate]
    threshold: float
    points: tuple[WeekPoints, ...]
    weakest: tuple[tuple[Cell, str], ...]
    new_safe: tuple[Cell, ...]
    owed: tuple[str, ...]
    unmarked: tuple[str, ...]
    naming: Naming
    paper: str

    def met(self, cell: Cell) -> bool:
        """Whether the cell was ever marked."""
        return cell in self.estimates and self.estimates[cell].marks > 0

    def is_safe(self, cell: Cell) -> bool:
        """Whether the lower end of the band passes the teacher's threshold."""
        return cell in self.estimates and safe(self.estimates[cell], self.threshold)

    def key_mean(self, key: str) -> float | None:
        """The mean over the skills that were met in a key, or None."""
        return _mean([e.mean for c, e in self.estimates.items() if c.key == key and e.marks])


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def studio_progress(
    studio: OpenStudio, today: date, student: str | None = None
) -> tuple[list[Progress], Calibration]:
    """The progress of each row of the roster, by the roster's order; only of ``student`` if named.

    With it comes how often marks fell into the band, over all students. Raises InputError for
    a faulty roster, RecordError.
    """
    build = studio.studio.build
    rows = read_roster(studio.studio.roster, build.template_dir)
    sheets = {row.student: marked_sheets(studio, row.student) for row in rows}
    known = Levels()
    levels = [tuple(known.of(row.template, row.keys)) for row in rows]
    courses = [
        course(results(sheets[row.student]), level, week_of(today))
        for row, level in zip(rows, levels)
    ]
    logs = {row.student: one.log for row, one in zip(rows, courses)}
    found = calibration([one for log in logs.values() for one in log])
    return [
        _progress(studio, worded(row, build), sheets[row.student], one, found.widen)
        for row, one in zip(rows, courses)
        if student in (None, row.student)
    ], found


def _progress(
    studio: OpenStudio, row: Row, sheets: Sequence[MarkedSheet], seen: Course, widen: float
) -> Progress:
    level = seen.now.cells
    found = seen.now.estimates(widen)
    before = seen.before.estimates(widen) if seen.before else {}
    threshold = studio.studio.safe
    naming = row.template.naming
    return Progress(
        row.student,
        row.template.title,
        tuple(_by_family(cell.skill for cell in level)),
        tuple(dict.fromkeys(cell.key for cell in level)),
        found,
        threshold,
        tuple(_points(studio, sheet) for sheet in sheets),
        tuple(_weakest(found, naming)),
        tuple(
            cell
            for cell in level
            if safe(found[cell], threshold)
            and not (cell in before and safe(before[cell], threshold))
        ),
        tuple(s.sheet.code for s in sheets if s.sheet.state == SheetState.NOT_HANDED_IN),
        tuple(s.sheet.code for s in sheets if not s.items and s.sheet.state == SheetState.OUT),
        naming,
        paper_name(row, studio.studio.build),
    )


def _by_family(skills: Iterable[str]) -> list[str]:
    """Each skill once, those of a family together."""
    once = list(dict.fromkeys(skills))
    families = list(dict.fromkeys(skill.split("/")[0] for skill in once))
    return sorted(once, key=lambda skill: families.index(skill.split("/")[0]))


def _points(studio: OpenStudio, sheet: MarkedSheet) -> WeekPoints:
    one, full = sheet.sheet, sheet.outline.points
    reached = None
    if sheet.items:
        reached = sheet_points(studio, sheet.outline, sheet.outcomes, sheet.entered)
    return WeekPoints(one.week, one.title, one.code, reached, full)


def _weakest(found: Mapping[Cell, Estimate], naming: Naming) -> list[tuple[Cell, str]]:
    """The met cells with the lowest low ends, each with a sentence."""
    met = sorted((cell for cell, one in found.items() if one.marks), key=lambda c: found[c].low)
    return [(cell, _sentence(cell, found[cell], naming)) for cell in met[:WEAKEST]]


def _sentence(cell: Cell, one: Estimate, naming: Naming) -> str:
    name = cell_name(cell, naming)
    if not one.enough:
        return f"{name}: not enough marks yet ({one.marks})."
    low, high = round(100 * one.low), round(100 * one.high)
    return f"{name}: of 100 boxes, {low} to {high} would be right."


def skill_name(skill: str, naming: Naming) -> str:
    """A skill in words: ``"Scale fingering, left hand, harmonic"``."""
    family, *more = skill.split("/")
    if family == "played":
        return f"Played: {skill_name('/'.join(more), naming)}"
    if family not in FAMILIES:
        return skill
    if more and FAMILIES[family].by == "hand":
        more[0] = _HANDS.get(more[0], more[0])
    return ", ".join([FAMILIES[family].title_in(naming), *more])


def cell_name(cell: Cell, naming: Naming) -> str:
    """A cell in words: ``"Scale fingering, left hand, harmonic, in C♯ minor"``."""
    key = naming.key(parse_key(cell.key)) if cell.key else ""
    name = skill_name(cell.skill, naming)
    return f"{name}, in {key}" if key else name
