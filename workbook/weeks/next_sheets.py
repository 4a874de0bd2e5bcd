"""Next week's sheets: aimed at what was wrong, what was never met, and what is weakest.

In: an open studio and a week. Out: sheets on disk and in the record, with the reasons for each
section.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain
from typing import NamedTuple

from workbook.builds.books import Built
from workbook.builds.fitting import Fitting
from workbook.builds.orders import Order, read_orders
from workbook.builds.repeated import listed
from workbook.errors import WorkbookError
from workbook.estimates.calibration import Course, Forecast, calibration, courses
from workbook.estimates.results import Cell, Level, week_of
from workbook.exercises.family import family_of
from workbook.exercises.model import Exercise
from workbook.inputs.days import day_and_month
from workbook.music.keys import parse_key
from workbook.planning.aim import Aim, Aiming, Reason, Why
from workbook.planning.aimed import CORRECTIONS, Target
from workbook.planning.cells import Levels, Ways
from workbook.planning.plan import Plan
from workbook.record.outline import OutlinedItem
from workbook.studio.roster import read_roster
from workbook.studio.template_model import heading
from workbook.weeks.bands import student_log, studio_calibration
from workbook.weeks.recipes import plan_of
from workbook.weeks.results import MarkedSheet, last_marked, marked_sheets, on_a_page, results
from workbook.weeks.sets import Run, SheetsToSet, set_sheets
from workbook.weeks.studios import OpenStudio

_TOGETHER = 30
"""Students whose estimates are worked out together, in less memory than the build takes later."""


@dataclass(frozen=True)
class NextSheet:
    """A sheet that was set, and why: for each section its letter, title and a sentence."""

    built: Built
    reasons: tuple[tuple[str, str, str], ...]


class NothingToSet(WorkbookError):
    """No student has anything to set."""


def set_next(
    studio: OpenStudio,
    week: date,
    *,
    students: Iterable[str] = (),
    pages: int | None = None,
    again: bool = False,
    seed: str = "",
    run: Run | None = None,
) -> list[NextSheet]:
    """Set next week's sheet of each row of the roster, of ``pages`` pages each.

    With ``again``, corrections are the same exercises that were wrong; otherwise new ones of
    the same skill and key. Raises what ``build`` raises, RecordError, and NothingToSet.
    """
    run = run or Run()
    settings = replace(studio.studio.build, forms=1)
    named = list(students)
    orders, tables, everyone = read_orders(studio.studio.roster, settings, named)
    if not orders:
        raise NothingToSet(f"{studio.studio.roster} has no students; write them into it")
    day = week.isoformat()
    seed = seed or f"{day}/next"
    aimed = _aimed(
        studio,
        orders,
        week,
        again,
        pages or studio.studio.pages,
        Fitting(seed, tables, run.cancel, run.executor),
        run,
        whole=not named,
    )
    wanted = SheetsToSet(
        tuple(one.order for one in aimed), seed, week, day, settings, tables, everyone
    )
    words = {one.order.folder: _words(one.order, one.aims) for one in aimed}
    built = set_sheets(studio, wanted, reasons=words, run=run)
    no_room = [one.order.row.student for one in aimed if one.no_room]
    if no_room:
        run.notice(_no_room(list(dict.fromkeys(no_room))))
    return [_next_sheet(studio, one) for one in built]


class _Aimed(NamedTuple):
    """The order of a sheet that fits its pages, and why each exercise is on it.

    ``no_room`` says that there were mistakes but no room for corrections.
    """

    order: Order
    aims: list[Aim]
    no_room: bool


def _aimed(
    studio: OpenStudio,
    orders: Sequence[Order],
    week: date,
    again: bool,
    pages: int,
    fitting: Fitting,
    run: Run,
    whole: bool,
) -> list[_Aimed]:
    """The sheets to set for the orders; nothing else that was worked out for them is kept."""
    levels = Levels()
    read = deque(_read(studio, orders, levels, week))
    widen = _widened(studio, read, whole)
    weeks = sum(day >= week for day in studio.studio.term.weeks()) or None
    aimed = []
    for number in range(len(orders)):
        if run.progress:
            run.progress("Planning", number, len(orders))
        # the sheets of a student are held no longer than they are needed
        one = _Student(studio, read.popleft(), week, weeks, again, widen)
        order, aims = fitting.fitted(one.order, pages, one.first_guess(pages))
        no_room = one.made_mistakes and all(each.reason.why is Why.NEW for each in aims)
        aimed.append(_Aimed(order, aims, no_room))
    return aimed


def _widened(studio: OpenStudio, read: Iterable[_Read], whole: bool) -> float:
    """By how much bands are wider: by the log of the studio, as on the progress pages."""
    logs = {one.order.row.student: one.course.log for one in read}
    if whole:
        return calibration(list(chain.from_iterable(logs.values()))).widen
    build = studio.studio.build
    names = [row.student for row in read_roster(studio.studio.roster, build.template_dir)]

    def log_of(name: str) -> Sequence[Forecast]:
        known = logs.get(name)
        return known if known is not None else student_log(studio, name)

    return studio_calibration(studio, names, log_of).widen


def _next_sheet(studio: OpenStudio, built: Built) -> NextSheet:
    reasons = studio.record.reasons(built.code)
    titles = {letter: title for letter, title, _ in built.marked.sections}
    return NextSheet(
        built, tuple((letter, titles[letter], words) for letter, words in reasons.items())
    )


class _Read(NamedTuple):
    """A row of the roster, the cells of its level, and what the record says of the student."""

    order: Order
    ways: Ways
    sheets: list[MarkedSheet]
    course: Course


def _read(
    studio: OpenStudio, orders: Sequence[Order], levels: Levels, week: date
) -> Iterator[_Read]:
    for start in range(0, len(orders), _TOGETHER):
        some = orders[start : start + _TOGETHER]
        ways = [levels.of(one.row.template, one.row.keys) for one in some]
        sheets = [marked_sheets(studio, one.row.student) for one in some]
        level = {id(one): Level(one) for one in ways}
        found = zip(map(results, sheets), (level[id(one)] for one in ways))
        yield from map(_Read, some, ways, sheets, courses(found, week_of(week)))


class _Student:
    """One row of the roster, and what to set the student in ``week``.

    ``weeks`` are left until the exam, None if there is none. Bands are stretched by ``widen``.
    """

    def __init__(
        self,
        studio: OpenStudio,
        read: _Read,
        week: date,
        weeks: int | None,
        again: bool,
        widen: float,
    ):
        self._studio, self._order, self._ways, self._sheets = studio, *read[:3]
        row = self._order.row
        self._row = replace(row, title=row.title or f"Week of {day_and_month(week)}")
        self._last = last_marked(self._sheets)
        self._aiming = Aiming(
            read.course.now.columns(widen),
            weeks,
            self._last.mistakes if self._last else (),
            self._sheets[-1].cells if self._sheets else (),
        )
        self._again = again
        self._old: Plan | None = None
        self._made: dict[int, tuple[Order, list[Aim]]] = {}
        self._before: dict[tuple[str, str], list[OutlinedItem]] = {}
        for item in (item for sheet in self._sheets for item in sheet.workbook.items):
            self._before.setdefault((family_of(item.skill), item.key), []).append(item)
        self._identities: dict[tuple[str, str], frozenset[str]] = {}

    @property
    def made_mistakes(self) -> bool:
        """Whether anything was wrong on the last marked sheet."""
        return bool(self._last and self._last.mistakes)

    def first_guess(self, pages: int) -> int:
        """About how many exercises will fit on ``pages`` pages, judging by the last sheet."""
        return round(pages * on_a_page(self._sheets))

    def order(self, count: int) -> tuple[Order, list[Aim]]:
        """The order of a sheet with ``count`` exercises, and the reason for each."""
        if count not in self._made:
            self._made[count] = self._ordered(count)
        return self._made[count]

    def _ordered(self, count: int) -> tuple[Order, list[Aim]]:
        aims = self._aiming.sheet(count)
        turns: dict[Cell, int] = {}
        targets = []
        for one in aims:
            turn = turns[one.cell] = turns.get(one.cell, -1) + 1
            ways = self._ways[one.cell]
            correction = one.reason.why is Why.WRONG
            way = ways[turn % len(ways)]
            old = self._wrong_exercise(one.cell) if correction and self._again else None
            if old:
                targets.append(Target(one.cell, way, correction, *old))
            else:
                targets.append(Target(one.cell, way, correction))
        return (
            replace(self._order, row=self._row, targets=tuple(targets), had=self._had(targets)),
            aims,
        )

    def _had(self, targets: Sequence[Target]) -> frozenset[str]:
        """The identities of exercises that the student had, of the families and keys asked for."""
        asked = {(family_of(one.cell.skill), one.cell.key) for one in targets}
        for place in asked - self._identities.keys():
            items = self._before.get(place, ())
            self._identities[place] = frozenset(item.identity for item in items)
        return frozenset[str]().union(*map(self._identities.__getitem__, asked))

    def _wrong_exercise(self, cell: Cell) -> tuple[Exercise, tuple[str, int]] | None:
        """The exercise of ``cell`` on the last marked sheet, as it was, and where it was."""
        if self._last is None or not self._studio.record.recipe(self._last.sheet.code):
            return None
        if self._old is None:
            self._old = plan_of(self._studio, self._last.sheet.code)
        wrong = {
            one.item.number
            for one in self._last.items
            if one.cell == cell and one.right < one.boxes
        }
        for item in self._old.items:
            if item.number in wrong:
                return item.exercise, (self._last.sheet.code, item.number)
        return None


def _words(order: Order, aims: Sequence[Aim]) -> dict[str, str]:
    """Why each section is set, by its title: a sentence for each reason, with the keys.

    In corrections, it begins with what the section of the skill is called. What is still to meet
    is said once.
    """
    template, naming = order.row.template, order.row.template.naming
    found: dict[str, dict[str, tuple[str, Reason, list[str]]]] = {}
    new = [t.choice.section for t, one in zip(order.targets, aims) if one.reason.why is Why.NEW]
    first = heading(template.sections[min(new)], naming) if new else ""
    for target, one in zip(order.targets, aims):
        title = heading(template.sections[target.choice.section], naming)
        skill = f"{title}: " if target.correction else ""
        key = naming.key(parse_key(target.cell.key)) if target.cell.key else ""
        reason, same = one.reason, skill + one.reason.sentence()
        reasons = found.setdefault(CORRECTIONS if target.correction else title, {})
        reasons.setdefault(same, (skill, reason, []))[2].append(key)
    return {
        title: " ".join(
            skill + reason.sentence(", ".join(filter(None, dict.fromkeys(keys))), title == first)
            for skill, reason, keys in reasons.values()
        )
        for title, reasons in found.items()
    }


def _no_room(students: list[str]) -> str:
    """A sentence about ``students`` whose mistakes are not set again."""
    return (
        f"No room for corrections, as all exercises are new: {listed(students)}. "
        "More pages make room, or fewer keys in the roster."
    )
