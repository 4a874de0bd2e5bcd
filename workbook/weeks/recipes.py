"""Recipes: what a sheet was made from, so that it can be made again from the record alone.

In: an order that is built, or the recipe of a sheet. Out: JSON values, or the sheet once more.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

from workbook.builds.books import Built
from workbook.builds.examiners_sheets import write_examiners_sheets
from workbook.builds.orders import Order, read_orders
from workbook.builds.workbooks import build_orders
from workbook.errors import OutputError, WorkbookError
from workbook.pages.paper import Paper
from workbook.planning.aimed import Target
from workbook.planning.cells import Cell, Choice
from workbook.record.files import KEY
from workbook.record.identity import item_identity
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import Template
from workbook.studio.templates import find
from workbook.studio_record.model import Sheet
from workbook.weeks.studios import OpenStudio

_LOOK = ("paper", "size", "punch", "grey", "fillable", "letters", "steps")


def recipe(
    order: Order, settings: BuildSettings, seed: str, exam: bool, before: Sequence[Sheet]
) -> dict[str, Any]:
    """What an order is made from. ``before`` are the sheets that the record has."""
    fingering = Path(settings.fingering).read_text("utf-8") if settings.fingering else ""
    template = find(order.row.template.name, settings.template_dir)
    return {
        "program": version("workbook"),
        "row": row_of(order),
        "copy": order.copy,
        "seed": seed,
        "forms": settings.forms,
        "exam": exam,
        "targets": [_target(one) for one in order.targets],
        "had": sum(s.student == order.row.student for s in before) if order.had else 0,
        "template": template.read_text("utf-8-sig"),
        "fingering": fingering,
        "look": {name: getattr(settings, name) for name in _LOOK},
    }


def row_of(order: Order) -> dict[str, str]:
    """The row of an order as a roster has it."""
    row = order.row
    return {
        "student": row.student,
        "template": row.template.name,
        "keys": "; ".join(key.ascii for key in row.keys),
        "title": row.title,
        "seed": row.seed or "",
    }


def _target(one: Target) -> dict[str, Any]:
    choice = one.choice
    return {
        "cell": list(one.cell),
        "section": choice.section,
        "hand": choice.hand,
        "settings": [list(pair) for pair in choice.settings],
        "correction": one.correction,
    }


def had_by(studio: OpenStudio, student: str, count: int | None = None) -> frozenset[str]:
    """The identities of the exercises on the first ``count`` sheets of a student, or on all."""
    sheets = studio.record.sheets(student)[:count]
    return frozenset(
        item_identity(item) for sheet in sheets for item in studio.record.workbook(sheet.code).items
    )


def without_help(template: Template) -> Template:
    """The template of an exam: no box is filled in as help."""
    sections = tuple(replace(section, given=0) for section in template.sections)
    return replace(template, sections=sections)


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
        made = _made_again(studio, recipe, studio.record.sheet(code).student, Path(name))
        same = [one for one in made if one.code == code]
        if not same or (same[0].folder / KEY).read_text("utf-8") != studio.record.key_json(code):
            raise NotTheSame(
                f"{code} was made by version {recipe['program']} of this program; version "
                f"{version('workbook')} makes another sheet of it. Its answers are still in "
                "the record, and it can be marked."
            )
        out.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(same[0].folder, out)
        return replace(same[0], folder=out)


def _made_again(
    studio: OpenStudio, recipe: Mapping[str, Any], student: str, folder: Path
) -> list[Built]:
    (folder / "templates").mkdir()
    template = recipe["row"]["template"]
    (folder / "templates" / f"{template}.toml").write_text(recipe["template"], "utf-8")
    fingering = None
    if recipe["fingering"]:
        fingering = folder / "fingering.toml"
        fingering.write_text(recipe["fingering"], "utf-8")
    settings = BuildSettings(
        forms=recipe["forms"],
        fingering=fingering,
        template_dir=folder / "templates",
        **recipe["look"],
    )
    orders, table, _ = read_orders([recipe["row"]], settings)
    (order,) = orders
    row = order.row
    if recipe["exam"]:
        row = replace(row, template=without_help(row.template))
    targets = tuple(
        Target(
            Cell(*one["cell"]),
            Choice(one["section"], one["hand"], tuple((n, v) for n, v in one["settings"])),
            one["correction"],
        )
        for one in recipe["targets"]
    )
    had = had_by(studio, student, recipe["had"]) if recipe["had"] else frozenset()
    if recipe["tasks"]:
        return write_examiners_sheets(
            [replace(order, row=row)],
            folder / "made",
            Paper(settings.paper, "normal", settings.punch),
            table,
            recipe["seed"],
            tasks=recipe["tasks"],
        )
    again = replace(order, row=row, copy=recipe["copy"], targets=targets, had=had)
    return build_orders([again], folder / "made", settings, table, whole=False, seed=recipe["seed"])
