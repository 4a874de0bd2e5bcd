"""Writes the files of one workbook: pages, answer key, list of answers, ``key.json``.

In: a plan, its snippets, the paper. Out: the files in a folder, read back and checked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from workbook.builds.forms import form_fields
from workbook.builds.records import key_text, workbook_record
from workbook.engraving.snippet import Snippet
from workbook.errors import Finding
from workbook.marking.mark_sheet import Marked
from workbook.pages import render
from workbook.pages.answer_list import lay_out_answers, listed_on
from workbook.pages.flow import Block
from workbook.pages.form_fields import with_fields
from workbook.pages.layout import blocks, on_pages
from workbook.pages.paper import Paper
from workbook.planning.plan import NO_REPEATS, Plan, Repeats
from workbook.preflight.book import check_files
from workbook.preflight.expected import expected
from workbook.record.files import ANSWER_KEY, ANSWERS, FORM, KEY, WORKBOOK, document_title


@dataclass(frozen=True)
class Book:
    """A workbook to write on ``paper``. ``folder`` is relative to the build's folder.

    ``parts`` has the blocks of its pages, if they are known.
    """

    plan: Plan
    snippets: tuple[Snippet, ...]
    folder: PurePath
    paper: Paper
    parts: Sequence[Sequence[Block]] = ()


@dataclass(frozen=True)
class Built:
    """A workbook that was written: one row of the roster, or one form of it.

    ``paper`` is the name of its paper, ``repeats`` what is not new in it, ``left_out`` how many
    exercises of a weekly sheet did not fit.
    """

    student: str
    title: str
    folder: Path
    items: int
    points: int
    pages: int
    code: str
    form: str
    marked: Marked
    paper: str = "letter"
    repeats: Repeats = NO_REPEATS
    left_out: int = 0


def write_book(
    book: Book, grey: bool, root: Path, fillable: bool = False
) -> tuple[Built, tuple[Finding, ...]]:
    """Write the files of a workbook below ``root`` and check them.

    With ``grey``, answers are black. With ``fillable``, there is a form, too. A finding means that
    the program has a bug.
    """
    plan, paper, student = book.plan, book.paper, book.plan.row.student
    snippets = {item.number: snippet for item, snippet in zip(plan.drawn, book.snippets)}
    pages = on_pages(plan, book.parts or blocks(plan, snippets, paper), paper)
    folder = root / book.folder
    folder.mkdir(parents=True, exist_ok=True)
    ready = [render.Ready(page) for page in pages]
    faces = (
        (WORKBOOK, ready, paper, render.WORKBOOK, grey),
        (ANSWER_KEY, ready, paper, render.ANSWER_KEY, grey),
        (ANSWERS, lay_out_answers(plan, pages, paper), listed_on(paper), render.WORKBOOK, False),
    )
    for file, drawn, on, face, black in faces:
        title = document_title(file, plan.title, student)
        about = render.SUBJECTS[render.WORKBOOK if file == WORKBOOK else render.ANSWER_KEY]
        data = render.render(drawn, face, on.whole, title, student, black, about)
        (folder / file).write_bytes(data)
    record = workbook_record(plan, pages, paper)
    (folder / KEY).write_text(key_text(plan, record), encoding="utf-8", newline="\n")
    if fillable:
        form = with_fields((folder / WORKBOOK).read_bytes(), form_fields(record))
        (folder / FORM).write_bytes(form)
    return _built(book, len(pages), folder), tuple(
        check_files(folder, expected(record), False, book.folder.as_posix())
    )


def _built(book: Book, pages: int, folder: Path) -> Built:
    plan = book.plan
    return Built(
        plan.row.student,
        plan.title,
        folder,
        len(plan.items),
        plan.points,
        pages,
        plan.code,
        plan.form,
        marked(plan),
        book.paper.name,
        plan.repeats,
        plan.left_out,
    )


def marked(plan: Plan) -> Marked:
    """The row of the mark sheet for a workbook."""
    sections = ((section.letter, section.title, section.points) for section in plan.sections)
    return Marked(plan.row.student, plan.title, plan.code, tuple(sections))
