"""The term until the exam: what was met in which week, what comes when, what no longer fits.

In: an open studio. Out: a plan for each row of the roster, made from the record each time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from workbook.estimates.results import Cell
from workbook.inputs.messages import any_of, plural
from workbook.music.keys import parse_key
from workbook.music.naming import Naming
from workbook.planning.cells import cells, keys_of
from workbook.planning.pace import Forecast, forecast
from workbook.studio.roster import Row, read_roster
from workbook.studio.row_settings import paper_name, worded
from workbook.studio.settings import MOST_PAGES
from workbook.studio_record.model import SheetState
from workbook.weeks.results import MarkedSheet, marked_sheets, on_a_page
from workbook.weeks.studios import NoStudio, OpenStudio


@dataclass(frozen=True)
class TermWeek:
    """A week: its lesson day, whether it is past, and the cells met or planned, new in it.

    ``off`` marks a week without a lesson, ``missed`` one whose sheet was not handed in.
    """

    day: date
    past: bool
    off: bool
    missed: bool
    new: tuple[Cell, ...]


@dataclass(frozen=True)
class TermPlan:
    """The plan of a student. ``sentences`` say what is behind and what no longer fits.

    ``naming`` and ``paper`` have the student's words and the name of the student's paper.
    """

    student: str
    level: str
    exam: date
    keys: tuple[str, ...]
    total: int
    met: int
    weeks: tuple[TermWeek, ...]
    sentences: tuple[str, ...]
    naming: Naming
    paper: str


def term_plans(studio: OpenStudio, today: date, pages: int | None = None) -> list[TermPlan]:
    """The plan of each row of the roster, at ``pages`` pages a week.

    Raises NoStudio if ``studio.toml`` has no dates, InputError, RecordError.
    """
    term, build = studio.studio.term, studio.studio.build
    if not term.first_lesson or not term.exam:
        raise NoStudio(
            "studio.toml has no dates yet; set them: "
            "workbook term --first-lesson 2027-01-12 --exam 2027-06-05"
        )
    rows = read_roster(studio.studio.roster, build.template_dir)
    length = pages or studio.studio.pages
    return [
        _plan(
            studio, worded(row, build), marked_sheets(studio, row.student), today, length, term.exam
        )
        for row in rows
    ]


def _plan(
    studio: OpenStudio,
    row: Row,
    sheets: Sequence[MarkedSheet],
    today: date,
    pages: int,
    exam: date,
) -> TermPlan:
    level = list(cells(row.template, row.keys))
    met = _first_met(sheets, set(level))
    exercises = round(pages * on_a_page(sheets))
    lessons = studio.studio.term.weeks()
    left = [day for day in lessons if day >= today]
    unmet = [cell for cell in level if cell not in met]
    coming = forecast(unmet, len(left), exercises, level)
    weeks = _weeks(studio, sheets, met, today, left, coming)
    missed = sum(week.missed for week in weeks)
    keys, naming = keys_of(level), row.template.naming
    return TermPlan(
        row.student,
        row.template.title,
        exam,
        keys,
        len(level),
        len(met),
        weeks,
        tuple(_sentences(coming, len(unmet), len(left), pages, missed, len(keys), naming)),
        naming,
        paper_name(row, studio.studio.build),
    )


def _sentences(
    coming: Forecast, unmet: int, left: int, pages: int, missed: int, keys: int, naming: Naming
) -> list[str]:
    told = []
    if missed:
        told.append(f"{plural(missed, 'sheet')} not handed in.")
    if not unmet:
        told.append("Every skill has been met in every key.")
    elif not left:
        told.append(f"{_unmet(unmet)} not met, and no lesson is left before the exam.")
    elif coming.too_many:
        told.append(_too_many(coming, unmet, left, pages, keys, naming))
    else:
        fits = "they fit" if unmet > 1 else "it fits"
        told.append(f"{_unmet(unmet)} to meet in {plural(left, 'week')}: {fits}.")
    return told


def _too_many(
    coming: Forecast, unmet: int, left: int, pages: int, keys: int, naming: Naming
) -> str:
    """What does not fit, and what to do. ``keys`` is the number of keys of the level."""
    names = _key_names(coming.keys_too_many, naming)
    needed = -(-coming.needed * pages // max(coming.exercises, 1))
    more = [f"set {plural(needed, 'page')} a week"] if needed <= MOST_PAGES else []
    at = f"{plural(left, 'week')} at {plural(pages, 'page')}"
    if names and 2 * len(names) <= keys:
        what = f"{plural(len(names), 'key')} too many for {at}"
        advice = [*more, f"leave out {', '.join(names)}"]
    else:
        room = unmet - len(coming.too_many)
        what = f"{_unmet(unmet)} to meet, and {at} have room for {room}"
        advice = [*more, "use fewer keys in the roster", "use fewer sections in the template"]
    return f"{what}: {any_of(advice)}. Until then, every key comes in turn."


def _unmet(count: int) -> str:
    return f"{count} skills in keys" if count > 1 else "1 skill in a key"


def _key_names(keys: Sequence[str], naming: Naming) -> list[str]:
    return [naming.key(parse_key(key)) for key in keys if key]


def _first_met(sheets: Sequence[MarkedSheet], level: set[Cell]) -> dict[Cell, date]:
    found: dict[Cell, date] = {}
    for sheet in sheets:
        day = date.fromisoformat(sheet.sheet.week or sheet.sheet.built[:10])
        for one in sheet.items:
            if one.cell in level:
                found.setdefault(one.cell, day)
    return found


def _weeks(
    studio: OpenStudio,
    sheets: Sequence[MarkedSheet],
    met: Mapping[Cell, date],
    today: date,
    left: Sequence[date],
    coming: Forecast,
) -> tuple[TermWeek, ...]:
    planned = dict(zip(left, coming.weeks))
    owed = {one.sheet.week for one in sheets if one.sheet.state == SheetState.NOT_HANDED_IN}
    lessons = set(studio.studio.term.weeks())
    days = studio.studio.term.all_weeks()
    found = []
    for number, day in enumerate(days):
        after = days[number + 1] if number + 1 < len(days) else date.max
        new = planned.get(day) or tuple(
            cell
            for cell, first in met.items()
            if day <= first < after or (number == 0 and first < day)
        )
        missed = any(day.isoformat() <= week < after.isoformat() for week in owed)
        found.append(TermWeek(day, day < today, day not in lessons, missed, tuple(new)))
    return tuple(found)
