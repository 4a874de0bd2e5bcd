"""The workbooks to build: the checked rows of a roster, each with its folder.

In: a roster and the names of students. Out: an ``Order`` for each row to build, in the
roster's order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import PurePath
from typing import NamedTuple

from workbook.builds.there import form_folder
from workbook.engraving.snippet import Snippet
from workbook.errors import InputError, Problem
from workbook.fingering.conventions import Conventions, load, traditional
from workbook.pages.arranging import arranged
from workbook.pages.examples import with_short_examples
from workbook.pages.flow import Block
from workbook.pages.paper import Paper
from workbook.planning import dealing
from workbook.planning.aimed import Target, aimed_plan
from workbook.planning.coverage import Earlier
from workbook.planning.dealing import form_letters
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import Plan
from workbook.planning.weekly import Round
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, IN_EACH_FOLDER, MARK_SHEET, MARK_TABLE
from workbook.studio.folders import folders
from workbook.studio.roster import Roster, Row, read_roster, roster_name, students_named
from workbook.studio.row_settings import paper_name, print_problems, size_name, worded
from workbook.studio.settings import BuildSettings
from workbook.typesetting.runs import unprintable


@dataclass(frozen=True)
class Fingerings:
    """The tables of fingerings of a build: ``general``, and those that rows name, by path."""

    general: Conventions
    own: Mapping[str, Conventions] = field(default_factory=dict)

    def of(self, row: Row) -> Conventions:
        """The table that the answers of a row come from."""
        return self.own[row.own.fingering] if row.own.fingering else self.general


@dataclass(frozen=True)
class Laid:
    """A plan, its ``snippets``, and the ``parts`` of its pages (see ``pages.layout.blocks``)."""

    plan: Plan
    snippets: tuple[Snippet, ...]
    parts: Sequence[Sequence[Block]]


@dataclass(frozen=True)
class Order:
    """A row to build.

    ``folder`` is relative to the build's folder. ``paper`` is that of the row, or else the
    build's. ``copy`` counts from 0 the rows of one student that would get the same exercises.
    ``targets`` are the cells of a sheet that is aimed at some, and ``had`` the identities of
    exercises that the student had; without targets, the template is dealt. ``plan`` is that of a
    sheet with targets if it was made already; it counts for the seed that it was made with.
    ``earlier`` says what was set on other sheets, if the build knows of any. ``laid`` is
    what stands on the pages of ``plan`` if it was worked out already. ``weekly`` is the round of
    a weekly sheet, ``left_out`` how many of its exercises did not fit.
    """

    row: Row
    folder: PurePath
    paper: Paper
    copy: int = 0
    targets: tuple[Target, ...] = ()
    had: frozenset[str] = frozenset()
    plan: Plan | None = None
    earlier: Earlier | None = None
    laid: Laid | None = None
    weekly: Round | None = None
    left_out: int = 0

    def plans(self, seed: str, tables: Fingerings, forms: int, pool: ExercisePool) -> list[Plan]:
        """The plan of each form of the row's workbook; a sheet with targets has one form."""
        fingering = tables.of(self.row)
        if self.targets:
            row_seed = dealing.row_seed(self.row, seed)
            if self.plan and self.plan.seed == row_seed:
                return [self.plan]
            return [aimed_plan(self.row, self.targets, row_seed, fingering, pool, self.had)]
        made = dealing.plans(
            self.row,
            seed,
            self.copy,
            fingering,
            forms,
            pool,
            self.had,
            self.earlier,
            self.weekly,
            self.left_out,
        )
        return [arranged(with_short_examples(plan, self.paper), self.paper) for plan in made]

    def place(self, form: str) -> PurePath:
        """The folder of one form of the row's workbook; ``form`` is "" for an only one."""
        return form_folder(self.folder, form)


def orders(rows: Sequence[Row], settings: BuildSettings) -> list[Order]:
    """An order for each row, in their order."""
    copies, places = _copies(rows), folders(rows)
    return [
        Order(worded(row, settings), places[index], _paper(row, settings), copies[index])
        for index, row in enumerate(rows)
    ]


def after(every: Sequence[Order], earlier: Mapping[str, Earlier]) -> list[Order]:
    """The orders, each after what was set to its student ``earlier`` and after the sheets of
    its template that stand before it in the roster.
    """
    counts: Counter[tuple[str, str]] = Counter()
    found = []
    for order in every:
        row = order.row
        known = earlier.get(row.student, Earlier())
        same = row.student, row.template.name
        found.append(replace(order, earlier=replace(known, sheets=counts[same])))
        counts[same] += 1
    return found


def _paper(row: Row, settings: BuildSettings) -> Paper:
    return Paper(paper_name(row, settings), size_name(row, settings), settings.punch)


def _copies(rows: Sequence[Row]) -> dict[int, int]:
    """For each row, how many others that would get the same exercises count before it.

    Rows that differ in their own settings count in an order of these, wherever they are.
    """
    counts: Counter[tuple[object, ...]] = Counter()
    found = {}
    for index in sorted(range(len(rows)), key=lambda i: sorted(rows[i].own.cells().items())):
        row = rows[index]
        same = (row.student, row.template.name, row.keys, row.title, row.seed)
        found[index] = counts[same]
        counts[same] += 1
    return found


def expected_files(wanted: Sequence[Order], forms: int, whole: bool) -> list[str]:
    """The files that a build of these orders writes, relative to its folder.

    ``whole`` says whether the files for the whole studio are made, too.
    """
    letters = form_letters(forms)
    places = [one.place(letter) for one in wanted for letter in letters]
    studio = (ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET) if whole else ()
    return [
        *((place / name).as_posix() for place in places for name in IN_EACH_FOLDER),
        *studio,
    ]


class ReadOrders(NamedTuple):
    """The orders to build, their fingerings, and the folders of the whole roster, in its order."""

    orders: list[Order]
    tables: Fingerings
    everyone: tuple[PurePath, ...]


def read_orders(
    roster: Roster,
    settings: BuildSettings,
    students: Sequence[str] = (),
    earlier: Mapping[str, Earlier] | None = None,
) -> ReadOrders:
    """The orders of ``students``, or of all rows if none are named, in the roster's order.

    ``earlier`` says what was set to students before.

    Raises InputError with every problem of the roster, its templates and the fingerings, and with
    the rows whose paper is too small for their print.
    """
    rows, tables = _read(roster, settings)
    named = students_named(students, rows, roster_name(roster))
    every = orders(rows, settings)
    if earlier is not None:
        every = after(every, earlier)
    wanted = [one for one in every if not named or one.row.student in named]
    return ReadOrders(wanted, tables, tuple(one.folder for one in every))


def _read(roster: Roster, settings: BuildSettings) -> tuple[tuple[Row, ...], Fingerings]:
    """Roster and fingerings, with all problems in one InputError."""
    fingering = settings.fingering
    problems: list[Problem] = []
    rows: tuple[Row, ...] = ()
    try:
        rows = read_roster(roster, settings.template_dir, unprintable=unprintable)
        problems += print_problems(rows, settings, roster_name(roster))
    except InputError as error:
        problems += error.problems
    tables: dict[str, Conventions] = {"": traditional()}
    named = [str(fingering)] if fingering else []
    for path in dict.fromkeys([*named, *(row.own.fingering for row in rows)]):
        try:
            if path:
                tables[path] = load(path)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return rows, Fingerings(tables[str(fingering or "")], tables)
