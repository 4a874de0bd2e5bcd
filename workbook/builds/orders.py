"""The workbooks to build: the checked rows of a roster, each with its folder.

In: a roster and the names of students. Out: an ``Order`` for each row to build, sorted by
student whatever the roster's order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath

from workbook.errors import InputError, Problem
from workbook.fingering.conventions import Conventions, load, traditional
from workbook.planning import dealing
from workbook.planning.aimed import Target, aimed_plan
from workbook.planning.dealing import form_letters
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import Plan
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, IN_EACH_FOLDER, MARK_SHEET, MARK_TABLE
from workbook.studio.folders import folders
from workbook.studio.roster import Roster, Row, read_roster, roster_name, students_named
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import Template, overridden
from workbook.typesetting.runs import unprintable


@dataclass(frozen=True)
class Order:
    """A row to build.

    ``folder`` is relative to the build's folder. ``copy`` counts identical rows of one
    student from 0. ``targets`` are the cells of a sheet that is aimed at some, and ``had`` the
    identities of exercises that the student had; without targets, the template is dealt.
    """

    row: Row
    folder: PurePath
    copy: int = 0
    targets: tuple[Target, ...] = ()
    had: frozenset[str] = frozenset()

    def plans(
        self, seed: str, fingering: Conventions, forms: int, pool: ExercisePool
    ) -> list[Plan]:
        """The plan of each form of the row's workbook; a sheet with targets has one form."""
        if self.targets:
            row_seed = dealing.row_seed(self.row, seed)
            return [aimed_plan(self.row, self.targets, row_seed, fingering, pool, self.had)]
        return dealing.plans(self.row, seed, self.copy, fingering, forms, pool, self.had)

    def place(self, form: str) -> PurePath:
        """The folder of one form of the row's workbook; ``form`` is "" for an only one."""
        return self.folder / f"form-{form}" if form else self.folder


def orders(rows: Sequence[Row], students: Sequence[str], source: str) -> list[Order]:
    """The rows to build: those of ``students``, or all rows if none are named.

    ``source`` names the roster in messages. Raises InputError if a student is not in the
    roster.
    """
    named = students_named(students, rows, source)
    copies, row_folders = _copies(rows), folders(rows)
    chosen = [i for i, row in enumerate(rows) if not named or row.student in named]
    return [Order(rows[i], row_folders[i], copies[i]) for i in sorted(chosen, key=_by_name(rows))]


def _by_name(rows: Sequence[Row]) -> Callable[[int], tuple[object, ...]]:
    def order(i: int) -> tuple[object, ...]:
        row = rows[i]
        keys = [key.ascii for key in row.keys]
        seed = row.seed or ""
        return row.student.casefold(), row.student, row.title, row.template.name, keys, seed, i

    return order


def _copies(rows: Sequence[Row]) -> list[int]:
    """For each row, how many earlier rows would give the same plan."""
    counts: Counter[tuple[object, ...]] = Counter()
    found = []
    for row in rows:
        same = (row.student, row.template.name, row.keys, row.title, row.seed)
        found.append(counts[same])
        counts[same] += 1
    return found


def expected_files(wanted: Sequence[Order], forms: int, whole: bool) -> list[str]:
    """The files that a build of these orders writes, relative to its folder.

    ``whole`` tells whether they are the whole roster, whose studio has files too.
    """
    letters = form_letters(forms)
    places = [one.place(letter) for one in wanted for letter in letters]
    studio = (ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET) if whole else ()
    return [
        *((place / name).as_posix() for place in places for name in IN_EACH_FOLDER),
        *studio,
    ]


def read_orders(
    roster: Roster, settings: BuildSettings, students: Sequence[str] = ()
) -> tuple[list[Order], Conventions, bool]:
    """The orders of a roster, the table of fingerings, and whether no row is left out.

    Raises InputError with every problem of the roster, its templates and the fingerings.
    """
    rows, table = _read(roster, settings.template_dir, settings.fingering)
    found = [
        replace(one, row=replace(one.row, template=_worded(one.row, settings)))
        for one in orders(rows, students, roster_name(roster))
    ]
    return found, table, len(found) == len(rows)


def _worded(row: Row, settings: BuildSettings) -> Template:
    return overridden(row.template, settings.letters, settings.steps, settings.marking)


def _read(
    roster: Roster, template_dir: Path | str | None, fingering: Path | str | None
) -> tuple[tuple[Row, ...], Conventions]:
    """Roster and fingerings, with the problems of both in one InputError."""
    problems: list[Problem] = []
    try:
        rows = read_roster(roster, template_dir, unprintable=unprintable)
    except InputError as error:
        problems += error.problems
    try:
        table = load(fingering) if fingering else traditional()
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(problems)
    return rows, table
