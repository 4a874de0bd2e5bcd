"""Writes examiner's sheets: a PDF and a ``key.json`` for each student.

In: the orders of an exam. Out: files in a folder ``played`` inside each student's. The record has
three boxes for each task, one for each aspect that is marked, so that it is marked like any sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from workbook.builds.books import Book, Built
from workbook.builds.drawing import Planned, drawn_books
from workbook.builds.orders import Fingerings, Order
from workbook.builds.publish import staging
from workbook.builds.records import record_of, skill_of
from workbook.cancel import Cancel
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.marking.mark_sheet import Marked
from workbook.pages import render
from workbook.pages.examiners_sheet import (
    ASPECTS,
    TITLE,
    Places,
    lay_out_examiners_sheet,
    played_frames,
)
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan
from workbook.planning.played import played_plan
from workbook.record.files import EXAMINERS_SHEET, KEY
from workbook.record.model import Blank, Marking, Match, Record, Section
from workbook.record.model import Item as RecordItem
from workbook.record.writer import record_text

PLAYED = "played"
"""The folder of an examiner's sheet, inside that of the student's written papers."""
SKILL = "played/"
"""Begins the names of skills that are heard, not written."""
_SUBJECT = "What is played at an exam, and what the examiner writes down"
DONE = "✓"


def write_examiners_sheets(
    orders: Sequence[Order],
    out: Path,
    tables: Fingerings,
    seed: str,
    *,
    tasks: int = 2,
    progress: Callable[[str, int, int], None] | None = None,
    cancel: Cancel | None = None,
) -> list[Built]:
    """Write the examiner's sheet of each order; a level without anything to play has none.

    ``tasks`` is the number of keys for each skill. Raises EngraverMissing, EngravingError,
    OutputError, Cancelled.
    """
    planned = [
        Planned(made, order.folder / PLAYED, replace(order.paper, size="normal"))
        for order in orders
        if (made := played_plan(order.row, seed, tables.of(order.row), tasks))
    ]

    def drawn(exercises: list[Exercise], frames: list[Frame]) -> list[Snippet]:
        return engrave(
            exercises,
            partial(progress or (lambda step, done, of: None), "Engraving"),
            frames=frames,
            cache=Cache(folder()),
            cancel=cancel,
        )

    with staging(out) as new:
        return [
            _write(book, new / book.folder, out / book.folder)
            for book in drawn_books(planned, drawn, played_frames)
        ]


def _write(book: Book, new: Path, final: Path) -> Built:
    plan, paper = book.plan, book.paper
    snippets = {item.number: one for item, one in zip(plan.items, book.snippets)}
    pages, places = lay_out_examiners_sheet(plan, snippets, paper)
    student = plan.row.student
    data = render.render(
        pages, render.WORKBOOK, paper.whole, f"{TITLE}: {student}", student, subject=_SUBJECT
    )
    new.mkdir(parents=True, exist_ok=True)
    (new / EXAMINERS_SHEET).write_bytes(data)
    (new / KEY).write_text(record_text(_record(plan, places, paper)), "utf-8", newline="\n")
    sections = tuple((part.letter, part.title, part.points) for part in plan.sections)
    marked = Marked(student, plan.title, plan.code, sections)
    return Built(
        student,
        plan.title,
        final,
        len(plan.items),
        plan.points,
        len(pages),
        plan.code,
        plan.form,
        marked,
        paper.name,
    )


def _record(plan: Plan, places: Places, paper: Paper) -> Record:
    sections = (
        Section(
            part.letter,
            part.title,
            Marking.SHARE,
            tuple(_item(item, places) for item in part.items),
        )
        for part in plan.sections
    )
    return record_of(plan, paper, sections)


def _item(item: Item, places: Places) -> RecordItem:
    exercise = item.exercise
    blanks = tuple(
        Blank(
            f"{item.number}.{number}",
            aspect,
            "right" if exercise.hand == "both" else exercise.hand,
            number - 1,
            (),
            Match.TEXT,
            DONE,
            ("x", "ok", "yes"),
            "",
            page,
            rect,
        )
        for number, (aspect, (page, rect)) in enumerate(zip(ASPECTS, places[item.number]), 1)
    )
    return RecordItem(
        item.number,
        exercise.family,
        SKILL + skill_of(exercise),
        exercise.key.ascii,
        exercise.hand,
        exercise.scale_form,
        dict(exercise.settings),
        0,
        {},
        blanks[0].page,
        item.points,
        f"{exercise.label}. Play it.",
        {},
        (),
        blanks,
    )
