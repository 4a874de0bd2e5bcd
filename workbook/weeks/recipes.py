"""Recipes: what a sheet was made from, so that it can be made again from the record alone.

In: an order that is built, or the recipe of a sheet. Out: JSON values, or the same sheet again.
"""

from __future__ import annotations

import json
import shutil
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache, partial
from importlib.metadata import version
from pathlib import Path, PurePath
from typing import Any

from workbook.builds.books import Built
from workbook.builds.examiners_sheets import write_examiners_sheets
from workbook.builds.orders import Fingerings, Order, read_orders
from workbook.builds.publish import staging
from workbook.builds.workbooks import build_orders
from workbook.errors import OutputError, WorkbookError
from workbook.estimates.results import Cell
from workbook.planning.aimed import Target
from workbook.planning.cells import Choice
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import Plan
from workbook.planning.weekly import Round
from workbook.record.files import KEY
from workbook.record.identity import item_identity
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import without_help
from workbook.studio.templates import find
from workbook.studio_record.model import Sheet
from workbook.temporary import temporary
from workbook.weeks.set_before import earlier_again, told_earlier
from workbook.weeks.studios import OpenStudio

_LOOK = ("paper", "size", "punch", "grey", "fillable", "letters", "steps", "marking")


def recipes(
    orders: Iterable[Order],
    settings: BuildSettings,
    seed: str,
    exam: bool,
    before: Iterable[Sheet],
) -> dict[PurePath, dict[str, Any]]:
    """What each order is made from, by its folder. ``before`` are the sheets in the record."""
    had = Counter(sheet.student for sheet in before)
    text = cache(Path.read_text)
    template = cache(partial(find, folder=settings.template_dir))
    look = {name: getattr(settings, name) for name in _LOOK}
    found = {}
    for order in orders:
        row, file = order.row, order.row.own.fingering or settings.fingering
        found[order.folder] = {
            "program": _program(),
            "row": row_of(order),
            "copy": order.copy,
            "seed": seed,
            "forms": settings.forms,
            "exam": exam,
            "targets": [_target(one) for one in order.targets],
            "earlier": told_earlier(order.earlier),
            "round": order.weekly and [list(share) for share in order.weekly.sheets],
            "left_out": order.left_out,
            "had": had[row.student] if order.had else 0,
            "template": text(template(row.template.name), "utf-8-sig"),
            "fingering": text(Path(file), "utf-8") if file else "",
            "look": look,
        }
    return found


@cache
def _program() -> str:
    """The version of this program, kept because looking it up takes longer than the rest."""
    return version("workbook")


def row_of(order: Order) -> dict[str, str]:
    """The row of an order as a roster has it, without its fingering file.

    A recipe has the content of that file.
    """
    row = order.row
    own = {name: value for name, value in row.own.cells().items() if name != "fingering"}
    return {
        "student": row.student,
        "template": row.template.name,
        "keys": "; ".join(key.ascii for key in row.keys),
        "title": row.title,
        "seed": row.seed or "",
        **own,
    }


def _target(one: Target) -> dict[str, Any]:
    choice = one.choice
    return {
        "cell": [one.cell.skill, one.cell.key],
        "section": choice.section,
        "hand": choice.hand,
        "settings": [list(pair) for pair in choice.settings],
        "correction": one.correction,
        "source": list(one.source),
    }


def had_by(studio: OpenStudio, student: str, count: int | None = None) -> frozenset[str]:
    """The identities of the exercises on the first ``count`` sheets of a student, or on all."""
    sheets = studio.record.sheets(student)[:count]
    return frozenset(
        item_identity(item) for sheet in sheets for item in studio.record.workbook(sheet.code).items
    )


class NotTheSame(WorkbookError):
    """A sheet was made again and differs from the one that was handed out."""


def remake(studio: OpenStudio, code: str, out: Path) -> Built:
    """Make a sheet of the record again, from the record alone, into the new folder ``out``.

    Raises RecordError if the key code is not known, NoRecipe if only the sheet itself was
    found, OutputError if ``out`` exists, NotTheSame if this version of the program makes
    another sheet of the same recipe; nothing is written then.
    """
    found = _recipe_of(studio, code)
    if out.exists():
        raise OutputError(f"{out} already exists; name a new folder")
    with temporary() as place:
        made = _made_again(studio, found, studio.record.sheet(code).student, place)
        same = [one for one in made if one.code == code]
        if not same or (same[0].folder / KEY).read_text("utf-8") != studio.record.key_json(code):
            raise _not_the_same(code, found)
        files = [path for path in same[0].folder.iterdir() if path.is_file()]
        with staging(out, [path.name for path in files]) as new:
            for path in files:
                shutil.copyfile(path, new / path.name)
        return replace(same[0], folder=out)


def plan_of(studio: OpenStudio, code: str) -> Plan:
    """The plan of a written sheet of the record. Raises RecordError, NoRecipe, NotTheSame."""
    found = _recipe_of(studio, code)
    with temporary() as place:
        order, settings, tables = _order(studio, found, studio.record.sheet(code).student, place)
    for plan in order.plans(found["seed"], tables, settings.forms, ExercisePool()):
        if plan.code == code:
            return plan
    raise _not_the_same(code, found)


class NoRecipe(WorkbookError):
    """What a sheet was made from is not in the record."""


def _recipe_of(studio: OpenStudio, code: str) -> Mapping[str, Any]:
    """The recipe of a sheet. Raises RecordError, NoRecipe."""
    text = studio.record.recipe(code)
    if not text:
        folder = studio.record.sheet(code).folder
        raise NoRecipe(
            f"{code} cannot be made again: it was found in {folder} after a command had been "
            "interrupted, and the record does not say what it was made from. Print the files "
            "there; "
            "it can be marked like any sheet."
        )
    found: Mapping[str, Any] = json.loads(text)
    return found


def _not_the_same(code: str, found: Mapping[str, Any]) -> NotTheSame:
    return NotTheSame(
        f"{code} was made by version {found['program']} of this program; version "
        f"{version('workbook')} would make a different sheet. Its answers are still in the record, "
        "and it can be marked."
    )


def _made_again(
    studio: OpenStudio, found: Mapping[str, Any], student: str, folder: Path
) -> list[Built]:
    order, settings, tables = _order(studio, found, student, folder)
    out, seed = folder / "made", found["seed"]
    if found["tasks"]:
        return write_examiners_sheets([order], out, tables, seed, tasks=found["tasks"])
    return build_orders([order], out, settings, tables, everyone=(), seed=seed)


def _order(
    studio: OpenStudio, found: Mapping[str, Any], student: str, folder: Path
) -> tuple[Order, BuildSettings, Fingerings]:
    """The order of a recipe; its templates and fingerings are written into ``folder``."""
    (folder / "templates").mkdir()
    template = found["row"]["template"]
    (folder / "templates" / f"{template}.toml").write_text(found["template"], "utf-8")
    fingering = None
    if found["fingering"]:
        fingering = folder / "fingering.toml"
        fingering.write_text(found["fingering"], "utf-8")
    settings = BuildSettings(
        forms=found["forms"],
        fingering=fingering,
        template_dir=folder / "templates",
        **found["look"],
    )
    (order,), tables, _ = read_orders([found["row"]], settings)
    row = order.row
    if found["exam"]:
        row = replace(row, template=without_help(row.template))
    targets = tuple(_target_again(studio, one) for one in found["targets"])
    had = had_by(studio, student, found["had"]) if found["had"] else frozenset()
    order = replace(
        order,
        row=row,
        copy=found["copy"],
        targets=targets,
        had=had,
        earlier=earlier_again(studio, found.get("earlier")),
        weekly=Round(tuple(map(tuple, found["round"]))) if found.get("round") else None,
        left_out=found.get("left_out", 0),
    )
    return order, settings, tables


def _target_again(studio: OpenStudio, one: Mapping[str, Any]) -> Target:
    settings = tuple((name, value) for name, value in one["settings"])
    code, number = one["source"]
    exercise = None
    if code:
        items = plan_of(studio, code).items
        exercise = next(item.exercise for item in items if item.number == number)
    return Target(
        Cell(*one["cell"]),
        Choice(one["section"], one["hand"], settings),
        one["correction"],
        exercise,
        (code, number),
    )
