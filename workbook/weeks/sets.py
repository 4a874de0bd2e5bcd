"""Sheets set to students: built into a folder of their week, and entered in the record.

In: an open studio and a week. Out: workbooks on disk and in the record. A sheet that a
student has is never overwritten unless the teacher says so, and never set twice.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path, PurePath

from workbook.builds.books import Built
from workbook.builds.earlier import earlier_sheets
from workbook.builds.orders import Fingerings, Order, read_orders
from workbook.builds.publish import alone
from workbook.builds.weekly_sheets import in_rounds
from workbook.builds.workbooks import Progress, build_orders, engraver
from workbook.cancel import Cancel
from workbook.inputs.natural_order import natural
from workbook.planning.coverage import Earlier
from workbook.planning.exercise_pool import ExercisePool
from workbook.record.files import KEY, MARK_TABLE
from workbook.studio.settings import BuildSettings
from workbook.studio_record.model import SetWorkbook, Sheet, SheetState
from workbook.weeks.recipes import recipes
from workbook.weeks.set_before import known_before
from workbook.weeks.studios import OpenStudio

Notice = Callable[[str], object]

Reasons = Mapping[PurePath, Mapping[str, str]]
"""Why each section was set, by the folder of its order and by its title."""
_NO_REASONS: Reasons = {}


@dataclass(frozen=True)
class Run:
    """How a build is observed and run: see ``builds.workbooks.build``."""

    progress: Progress | None = None
    notice: Notice = lambda words: None
    cancel: Cancel | None = None
    executor: Executor | None = None
    processes: int = 1


@dataclass(frozen=True)
class SheetsToSet:
    """What is to be set: orders with the seeds that they get, and where the sheets go.

    ``week`` is the day of the lesson. ``name`` is that of the folder. ``everyone`` has the
    folders of the whole roster, in its order. ``exam`` marks sheets without help. ``elsewhere``
    is what was set to students that the record does not know; it is None for sheets that are not
    dealt after what it knows.
    """

    orders: tuple[Order, ...]
    seed: str
    week: date
    name: str
    settings: BuildSettings
    tables: Fingerings
    everyone: tuple[PurePath, ...]
    exam: bool = False
    elsewhere: Mapping[str, Earlier] | None = None

    @property
    def whole(self) -> bool:
        """Whether no row of the roster is left out."""
        return {one.folder for one in self.orders} >= set(self.everyone)


def set_week(
    studio: OpenStudio,
    week: date,
    *,
    students: Iterable[str] = (),
    seed: str = "",
    forms: int = 1,
    settings: BuildSettings | None = None,
    replacing: bool = False,
    after: Iterable[Path | str] = (),
    run: Run | None = None,
) -> list[Built]:
    """Build the workbooks of the roster for a week, and enter them in the record.

    What the record says was set to a student in the weeks before is not set again while others
    remain, and the keys met least come first. ``after`` are folders of earlier sheets that the
    record does not have; the same holds for these.

    They go into a folder named by the date. If sheets are there already, a second folder is
    made beside it; with ``replacing``, the new sheets take their place, and the record says
    so. A row that would give a sheet which the student has gets new exercises. ``run.notice``
    is called with a sentence for each of these. ``settings`` override the studio's.

    Raises what ``build`` raises, and RecordError.
    """
    settings = replace(settings or studio.studio.build, forms=forms)
    named = [students] if isinstance(students, str) else list(students)
    folders = list(after)
    elsewhere = earlier_sheets(folders, studio.studio.folder) if folders else {}
    orders, tables, everyone = read_orders(studio.studio.roster, settings, named, {})
    run = run or Run()
    orders = in_rounds(orders, tables, engraver(run.progress, run.cancel, run.executor))
    orders = known_before(studio, orders, week, elsewhere)
    day = week.isoformat()
    wanted = SheetsToSet(
        tuple(orders), seed or day, week, day, settings, tables, everyone, elsewhere=elsewhere
    )
    return set_sheets(studio, wanted, replacing=replacing, run=run)


def set_sheets(
    studio: OpenStudio,
    wanted: SheetsToSet,
    *,
    replacing: bool = False,
    reasons: Reasons | None = None,
    run: Run | None = None,
) -> list[Built]:
    """Build sheets and enter them in the record; see ``set_week``.

    Commands that set sheets in one studio take turns.
    """
    with alone(studio.studio.folder):
        return set_alone(studio, wanted, replacing, reasons or {}, run or Run())


def set_alone(
    studio: OpenStudio, wanted: SheetsToSet, replacing: bool, reasons: Reasons, run: Run
) -> list[Built]:
    """As ``set_sheets``, for a caller that holds the lock of the studio folder."""
    studio.save_table()  # what cannot be read is told before anything is set
    chosen = wanted if replacing else _unset(studio, wanted, run.notice)
    out = _folder(studio, chosen, replacing, run.notice)
    built = build_orders(
        chosen.orders,
        out,
        chosen.settings,
        chosen.tables,
        everyone=chosen.everyone,
        seed=chosen.seed,
        progress=run.progress,
        notice=run.notice,
        cancel=run.cancel,
        executor=run.executor,
        processes=run.processes,
    )
    enter(studio, chosen, built, replacing=replacing, reasons=reasons, notice=run.notice)
    studio.save(marks=False)
    return built


def _unset(studio: OpenStudio, wanted: SheetsToSet, tell: Notice) -> SheetsToSet:
    """``wanted`` with seeds that give no sheet which is in the record."""
    pool, orders, seed, number = ExercisePool(), list(wanted.orders), wanted.seed, 1
    told: set[str] = set()
    while again := [
        index
        for index, one in enumerate(orders)
        for plan in one.plans(seed, wanted.tables, wanted.settings.forms, pool)
        if studio.record.knows(plan.code)
    ]:
        number += 1
        seed = f"{wanted.seed}/{number}"
        for index in again:
            row = wanted.orders[index].row
            told.add(row.student)
            if wanted.elsewhere is not None:
                (orders[index],) = known_before(
                    studio, [orders[index]], wanted.week, wanted.elsewhere, same_week=True
                )
            if row.seed:
                orders[index] = replace(
                    orders[index], row=replace(row, seed=f"{row.seed}/{number}")
                )
    if told:
        names = ", ".join(sorted(told, key=natural))
        tell(f"{names}: this sheet was already set; the new one has new exercises.")
    return replace(wanted, orders=tuple(orders), seed=seed)


def _folder(studio: OpenStudio, wanted: SheetsToSet, replacing: bool, tell: Notice) -> Path:
    """The folder of the week, or another beside it if sheets would be overwritten."""
    places = [order.folder for order in wanted.orders]
    first = out = studio.studio.folder / wanted.name
    number = 1
    while not replacing and (
        any((out / place).exists() for place in places)
        or (wanted.whole and (out / MARK_TABLE).exists())
    ):
        number += 1
        out = first.with_name(f"{first.name}-{number}")
    if out != first:
        tell(f"{first.name} already has sheets; the new ones are in {out.name}.")
    return out


def enter(
    studio: OpenStudio,
    wanted: SheetsToSet,
    built: Sequence[Built],
    *,
    replacing: bool = False,
    tasks: int = 0,
    reasons: Reasons = _NO_REASONS,
    notice: Notice = lambda words: None,
) -> None:
    """Enter sheets that were built. ``tasks`` is that of examiner's sheets, 0 for written ones.

    Raises RecordError.
    """
    record = studio.record
    before = record.sheets()
    exam = wanted.exam or wanted.settings.exam
    made_from = recipes(wanted.orders, wanted.settings, wanted.seed, exam, before)
    new = []
    for one in built:
        place = one.folder.relative_to(studio.studio.folder)
        inside = PurePath(*place.parts[1:])
        base = next(folder for folder in (inside, *inside.parents) if folder in made_from)
        own = {"tasks": tasks, "form": one.form, "left_out": one.left_out}
        new.append(
            SetWorkbook(
                one.code,
                one.student,
                one.title,
                one.form,
                wanted.week.isoformat(),
                place.as_posix(),
                (one.folder / KEY).read_text("utf-8"),
                json.dumps(made_from[base] | own, ensure_ascii=False),
                {
                    letter: reasons[base][title]
                    for letter, title, _ in one.marked.sections
                    if title in reasons.get(base, {})
                },
            )
        )
    record.add(new, replacing=replacing)
    if replacing:
        _tell_replaced(studio, before, new, notice)


def _tell_replaced(
    studio: OpenStudio, before: Sequence[Sheet], new: Sequence[SetWorkbook], tell: Notice
) -> None:
    codes, places = {one.code for one in new}, {one.folder for one in new}
    for sheet in before:
        if sheet.code in codes and sheet.state == SheetState.REPLACED:
            studio.record.tell(sheet.code, SheetState.OUT)
        if sheet.folder in places and sheet.code not in codes and sheet.state == SheetState.OUT:
            studio.record.tell(sheet.code, SheetState.REPLACED)
            kept = "; its marks stay in the record" if studio.record.marks(sheet.code) else ""
            tell(f"{sheet.student}: {sheet.code} was replaced{kept}.")
