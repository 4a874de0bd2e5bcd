"""Sheets set to students: built into a folder of their week, and entered in the record.

In: an open studio and a week. Out: workbooks on disk and in the record. A sheet that a
student has is never overwritten unless the teacher says so, and never set twice.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from importlib.metadata import version
from pathlib import Path, PurePath
from typing import Any

from workbook.builds.books import Built
from workbook.builds.orders import Order, read_orders
from workbook.builds.workbooks import Progress, build
from workbook.cancel import Cancel
from workbook.errors import OutputError, WorkbookError
from workbook.fingering.conventions import Conventions
from workbook.planning.exercise_pool import ExercisePool
from workbook.record.files import KEY, MARK_TABLE
from workbook.studio.settings import BuildSettings
from workbook.studio.templates import find
from workbook.studio_record.model import SetWorkbook, SheetState
from workbook.weeks.studios import OpenStudio

Notice = Callable[[str], object]
_LOOK = ("paper", "size", "punch", "grey", "fillable", "letters", "steps")


@dataclass(frozen=True)
class _Week:
    """The rows of one build: as the roster has them, and with the seeds that they get."""

    orders: Sequence[Order]
    rows: tuple[dict[str, str], ...]
    seed: str
    forms: int


def set_week(
    studio: OpenStudio,
    week: date,
    *,
    students: Iterable[str] = (),
    seed: str = "",
    forms: int = 1,
    settings: BuildSettings | None = None,
    replacing: bool = False,
    progress: Progress | None = None,
    notice: Notice | None = None,
    cancel: Cancel | None = None,
    processes: int = 1,
) -> list[Built]:
    """Build the workbooks of the roster for a week, and enter them in the record.

    They go into a folder named by the date. If sheets are there already, a second folder is
    made beside it; with ``replacing``, the new sheets take their place, and the record says
    so. A row that would give a sheet which the student has gets new exercises. ``notice`` is
    called with a sentence for each of these. ``settings`` override the studio's.

    Raises what ``build`` raises, and RecordError.
    """
    tell = notice or (lambda words: None)
    settings = replace(settings or studio.studio.build, forms=forms)
    named = [students] if isinstance(students, str) else list(students)
    orders, table, whole = read_orders(studio.studio.roster, settings, named)
    chosen = _chosen(studio, orders, table, seed or week.isoformat(), forms, replacing, tell)
    out = _folder(studio, week, chosen, whole, replacing, tell)
    built = build(
        chosen.rows,
        out,
        seed=chosen.seed,
        **_look(settings),
        forms=forms,
        fingering=settings.fingering,
        template_dir=settings.template_dir,
        progress=progress,
        notice=notice,
        cancel=cancel,
        processes=processes,
    )
    _enter(studio, week, built, chosen, settings, replacing, tell)
    studio.save()
    return built


def _look(settings: BuildSettings) -> dict[str, Any]:
    return {name: getattr(settings, name) for name in _LOOK}


def _chosen(
    studio: OpenStudio,
    orders: Sequence[Order],
    table: Conventions,
    seed: str,
    forms: int,
    replacing: bool,
    tell: Notice,
) -> _Week:
    """The rows with seeds that give no sheet which is in the record, unless it is replaced."""
    known = set() if replacing else {sheet.code for sheet in studio.record.sheets()}
    pool, build_seed, number = ExercisePool(), seed, 1
    own: dict[int, str] = {}
    told: set[str] = set()
    while True:
        again = [
            index
            for index, one in enumerate(orders)
            for plan in replace(one, row=replace(one.row, seed=own.get(index, one.row.seed))).plans(
                build_seed, table, forms, pool
            )
            if plan.code in known
        ]
        if not again:
            break
        number += 1
        told |= {orders[index].row.student for index in again}
        own |= {i: f"{orders[i].row.seed}/{number}" for i in again if orders[i].row.seed}
        build_seed = f"{seed}/{number}"
    if told:
        names = ", ".join(sorted(told))
        tell(f"{names}: this sheet was set before, so this one has new exercises.")
    rows = tuple(_row(one, own.get(index)) for index, one in enumerate(orders))
    return _Week(orders, rows, build_seed, forms)


def _row(order: Order, seed: str | None) -> dict[str, str]:
    row = order.row
    return {
        "student": row.student,
        "template": row.template.name,
        "keys": "; ".join(key.ascii for key in row.keys),
        "title": row.title,
        "seed": seed or row.seed or "",
    }


def _folder(
    studio: OpenStudio, week: date, chosen: _Week, whole: bool, replacing: bool, tell: Notice
) -> Path:
    """The folder of the week, or another beside it if sheets would be overwritten."""
    places = [order.folder for order in chosen.orders]
    first = out = studio.studio.folder / week.isoformat()
    number = 1
    while not replacing and (
        any((out / place).exists() for place in places) or (whole and (out / MARK_TABLE).exists())
    ):
        number += 1
        out = first.with_name(f"{first.name}-{number}")
    if out != first:
        tell(f"{first.name} has sheets already; these are in {out.name}.")
    return out


def _enter(
    studio: OpenStudio,
    week: date,
    built: Sequence[Built],
    chosen: _Week,
    settings: BuildSettings,
    replacing: bool,
    tell: Notice,
) -> None:
    record = studio.record
    folder = studio.studio.folder
    before = {sheet.code: sheet for sheet in record.sheets()}
    recipes = _recipes(chosen, settings)
    new = []
    for one in built:
        place = one.folder.relative_to(folder)
        base = place.parent if one.form else place
        recipe = recipes[PurePath(*base.parts[1:])] | {"form": one.form}
        new.append(
            SetWorkbook(
                one.code,
                one.student,
                one.title,
                one.form,
                week.isoformat(),
                place.as_posix(),
                (one.folder / KEY).read_text("utf-8"),
                json.dumps(recipe, ensure_ascii=False),
            )
        )
    record.add(new, replacing=replacing)
    if not replacing:
        return
    codes, places = {one.code for one in new}, {one.folder for one in new}
    for sheet in before.values():
        if sheet.folder in places and sheet.code not in codes and sheet.state == SheetState.OUT:
            record.tell(sheet.code, SheetState.REPLACED)
            kept = "; its marks stay in the record" if record.marks(sheet.code) else ""
            tell(f"{sheet.student}: {sheet.code} was replaced{kept}.")


def _recipes(chosen: _Week, settings: BuildSettings) -> dict[PurePath, dict[str, Any]]:
    """What each row's workbook can be made from again, by its folder in the build."""
    fingering = Path(settings.fingering).read_text("utf-8") if settings.fingering else ""
    templates: dict[str, str] = {}
    found = {}
    for order, row in zip(chosen.orders, chosen.rows):
        name = order.row.template.name
        if name not in templates:
            templates[name] = find(name, settings.template_dir).read_text("utf-8-sig")
        found[order.folder] = {
            "program": version("workbook"),
            "row": row,
            "copy": order.copy,
            "seed": chosen.seed,
            "forms": chosen.forms,
            "template": templates[name],
            "fingering": fingering,
            "look": _look(settings),
        }
    return found


class NotTheSame(WorkbookError):
    """A sheet was made again and differs from the one that was handed out."""


def remake(studio: OpenStudio, code: str, out: Path) -> Built:
    """Make a sheet of the record again, from the record alone, into the new folder ``out``.

    Raises RecordError if the key code is not known, OutputError if ``out`` exists, NotTheSame
    if this version of the program makes another sheet of the same recipe; nothing is written
    then.
    """
    recipe: Mapping[str, Any] = json.loads(studio.record.recipe(code))
    if out.exists():
        raise OutputError(f"{out} exists already; name a folder that does not")
    with tempfile.TemporaryDirectory(prefix="workbook-") as name:
        folder = Path(name)
        (folder / "templates").mkdir()
        template = recipe["row"]["template"]
        (folder / "templates" / f"{template}.toml").write_text(recipe["template"], "utf-8")
        fingering = None
        if recipe["fingering"]:
            fingering = folder / "fingering.toml"
            fingering.write_text(recipe["fingering"], "utf-8")
        rows = [recipe["row"]] * (recipe["copy"] + 1)
        made = build(
            rows,
            folder / "made",
            seed=recipe["seed"],
            forms=recipe["forms"],
            template_dir=folder / "templates",
            fingering=fingering,
            **recipe["look"],
        )
        same = [one for one in made if one.code == code]
        if not same or (same[0].folder / KEY).read_text("utf-8") != studio.record.key_json(code):
            raise NotTheSame(
                f"{code} was made by version {recipe['program']} of this program; version "
                f"{version('workbook')} makes another sheet of it. Its answers are still in "
                "the record, and it can be marked."
            )
        return _moved(same[0], out)


def _moved(built: Built, out: Path) -> Built:
    import shutil

    out.parent.mkdir(parents=True, exist_ok=True)
    shutil.copytree(built.folder, out)
    return replace(built, folder=out)
