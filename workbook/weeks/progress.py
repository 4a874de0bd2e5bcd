"""The progress of a student and of the studio: estimates, points, weak spots, what became safe.

In: an open studio. Out: plain values for pages, tables and screens.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from threading import Lock
from typing import NamedTuple

from workbook.estimates.calibration import course, forecasts
from workbook.estimates.results import Cell, Estimate, Result, safe, week_of
from workbook.exercises.skill_names import skill_name
from workbook.music.keys import parse_key
from workbook.music.naming import Naming
from workbook.planning.cells import Levels, keys_of
from workbook.studio.roster import Row, read_roster
from workbook.studio.row_settings import paper_name, worded
from workbook.studio_record.model import Sheet, SheetState
from workbook.weeks.bands import Version, sheet_versions, studio_calibration
from workbook.weeks.kept import Kept
from workbook.weeks.results import MarkedSheet, marked_sheets, results
from workbook.weeks.studios import OpenStudio

_reckoning = Lock()
"""Held while progress is computed: a second thread waits instead of doing it again."""
NO_KEY = "no key"
"""What a table calls the column of what is in no key."""
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
    row, what is in no key last; ``estimates`` has the cells of both. ``weakest`` has a cell and
    a sentence each. ``new_safe`` are cells that became safe with the last marked sheet. ``owed``
    are sheets that were not handed in, ``unmarked`` those without a mark. ``naming`` and
    ``paper`` have the student's words and the name of the student's paper.
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


def studio_progress(studio: OpenStudio, today: date, student: str | None = None) -> list[Progress]:
    """The progress of each row of the roster, by the roster's order; only of ``student`` if named.

    Raises InputError for a faulty roster, RecordError.
    """
    with _reckoning:
        return _studio_progress(studio, today, student)


def _studio_progress(studio: OpenStudio, today: date, student: str | None) -> list[Progress]:
    build = studio.studio.build
    rows = read_roster(studio.studio.roster, build.template_dir)
    sheets = _Sheets(studio)
    names = [row.student for row in rows]
    log = studio_calibration(studio, names, lambda name: forecasts(_all_results(sheets[name])))
    widen, versions, levels = log.widen, sheet_versions(studio), Levels()
    return [
        _kept(
            studio, worded(row, build), versions.get(row.student, ()), today, widen, levels, sheets
        )
        for row in rows
        if student in (None, row.student)
    ]


class _Seen(NamedTuple):
    """What progress needs of a marked sheet: little, because a whole studio is held at once."""

    sheet: Sheet
    points: WeekPoints
    results: tuple[Result, ...]


class _Sheets(dict[str, list[_Seen]]):
    """The sheets of each student, read once for all students."""

    def __init__(self, studio: OpenStudio):
        super().__init__()
        self._studio = studio

    def __missing__(self, student: str) -> list[_Seen]:
        found = self[student] = [
            _Seen(one.sheet, _points(one), tuple(results([one])))
            for one in marked_sheets(self._studio, student)
        ]
        return found


_pages: Kept[Progress] = Kept()
"""What was computed for each row of a roster, by studio."""


def _kept(
    studio: OpenStudio,
    row: Row,
    version: Version,
    today: date,
    widen: float,
    levels: Levels,
    sheets: Mapping[str, list[_Seen]],
) -> Progress:
    """The progress of a row, computed again only if something in it has changed."""
    rule, paper = studio.studio.rule, paper_name(row, studio.studio.build)
    made_of = (row, version, today, widen, studio.studio.safe, rule, paper)

    def made() -> Progress:
        level = tuple(levels.of(row.template, row.keys))
        return _progress(studio, row, level, sheets[row.student], today, widen)

    return _pages.value((studio.studio.id, row.student, row.number), made_of, made)


def _progress(
    studio: OpenStudio,
    row: Row,
    level: Sequence[Cell],
    sheets: Sequence[_Seen],
    today: date,
    widen: float,
) -> Progress:
    results = _all_results(sheets)
    seen = course(results, level, week_of(today))
    found = seen.now.estimates(widen)
    before = seen.before.estimates(widen) if seen.before else {}
    threshold = studio.studio.safe
    naming = row.template.naming
    return Progress(
        row.student,
        row.template.title,
        tuple(_by_family(cell.skill for cell in level)),
        keys_of(level),
        found,
        threshold,
        tuple(one.points for one in sheets),
        tuple(_weakest(found, results, naming)),
        tuple(
            cell
            for cell in level
            if safe(found[cell], threshold)
            and not (cell in before and safe(before[cell], threshold))
        ),
        tuple(s.sheet.code for s in sheets if s.sheet.state == SheetState.NOT_HANDED_IN),
        tuple(s.sheet.code for s in sheets if not s.results and s.sheet.state == SheetState.OUT),
        naming,
        paper_name(row, studio.studio.build),
    )


def _all_results(sheets: Iterable[_Seen]) -> list[Result]:
    return [one for sheet in sheets for one in sheet.results]


def _by_family(skills: Iterable[str]) -> list[str]:
    """Each skill once, those of a family together."""
    once = list(dict.fromkeys(skills))
    families = list(dict.fromkeys(skill.split("/")[0] for skill in once))
    return sorted(once, key=lambda skill: families.index(skill.split("/")[0]))


def _points(sheet: MarkedSheet) -> WeekPoints:
    one = sheet.sheet
    return WeekPoints(one.week, one.title, one.code, sheet.points, sheet.workbook.points)


def _weakest(
    found: Mapping[Cell, Estimate], results: Iterable[Result], naming: Naming
) -> list[tuple[Cell, str]]:
    """The cells with the lowest low ends in which something was ever wrong, each with a
    sentence.
    """
    wrong = {one.cell for one in results if one.right < one.boxes} & found.keys()
    weak = sorted(wrong, key=lambda cell: (found[cell].low, cell))
    return [(cell, _sentence(cell, found[cell], naming)) for cell in weak[:WEAKEST]]


def _sentence(cell: Cell, one: Estimate, naming: Naming) -> str:
    name = cell_name(cell, naming)
    if not one.enough:
        return f"{name}: not enough marks yet ({one.marks})."
    low, high = round(100 * one.low), round(100 * one.high)
    return f"{name}: of 100 boxes, {low} to {high} would be right."


def cell_name(cell: Cell, naming: Naming) -> str:
    """A cell in words: ``"Scale fingering, left hand, harmonic, in C♯ minor"``."""
    key = naming.key(parse_key(cell.key)) if cell.key else ""
    name = skill_name(cell.skill, naming, bool(key))
    return f"{name}, in {key}" if key else name
