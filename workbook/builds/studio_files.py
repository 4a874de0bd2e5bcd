"""The files for a whole studio: two print jobs and the mark sheet.

In: the files of each workbook, in order. Out: ``all-workbooks.pdf``,
``all-answer-keys.pdf``, ``mark-sheet.csv`` and ``mark-sheet.pdf``.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from itertools import chain, count
from pathlib import Path
from types import TracebackType
from typing import Self

from workbook.builds.books import Built
from workbook.marking.mark_sheet import NO_MARKS, Marked, has_room, mark_sheet, read_marks
from workbook.pages import render
from workbook.pages.mark_sheet import lay_out_marks
from workbook.pages.mark_sheet import size as mark_sheet_size
from workbook.pages.paper import Paper
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, ANSWER_KEY, WORKBOOK

MARK_SHEET = "mark-sheet"
"""The name of the mark sheet's files without ``.csv`` or ``.pdf``."""


class PrintJobs:
    """Writes the two print jobs into ``folder``: ``add`` each workbook, then ``finish``.

    Use as a context manager, which closes the files.
    """

    def __init__(self, folder: Path, paper: Paper):
        self._size, self._open = paper.whole, ExitStack()
        self._jobs = {
            file: Job(self._open.enter_context((folder / job).open("wb")), title, "workbook")
            for file, job, title in (
                (WORKBOOK, ALL_WORKBOOKS, "All workbooks"),
                (ANSWER_KEY, ALL_KEYS, "All answer keys"),
            )
        }

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._open.close()

    def add(self, book: Built) -> None:
        """Add the workbook and the answer key from the folder of ``book``."""
        for file, job in self._jobs.items():
            pdf = FinishedPdf((book.folder / file).read_bytes())
            job.add_finished(pdf, self._size, f"{book.student}, {book.title}")

    def finish(self) -> None:
        """Complete both PDFs. Call this after the last ``add``."""
        for job in self._jobs.values():
            job.finish()


def write_mark_sheet(books: Sequence[Marked], paper: Paper, new: Path, out: Path) -> str:
    """Write the mark sheet into ``new`` with the marks from the mark sheet in ``out``.

    If that one has marks for other workbooks or cannot be read, it is kept under another
    name, and the function returns a notice that says so. Otherwise it returns "".
    """
    marks, notice = NO_MARKS, ""
    try:
        before = (out / f"{MARK_SHEET}.csv").read_bytes()
    except FileNotFoundError:
        pass
    else:
        try:
            marks = read_marks(before)
            reason = "" if has_room(marks, books) else "it has marks for other workbooks"
        except ValueError as error:
            reason = str(error)
        if reason:
            name = _free_name(out)
            (new / name).write_bytes(before)
            notice = f"{MARK_SHEET}.csv was replaced ({reason}); the old one is kept as {name}."
    (new / f"{MARK_SHEET}.csv").write_text(
        mark_sheet(books, marks), encoding="utf-8-sig", newline=""
    )
    (new / f"{MARK_SHEET}.pdf").write_bytes(
        render.render(
            lay_out_marks(list(books), paper.name),
            render.WORKBOOK,
            mark_sheet_size(paper.name),
            "Mark sheet",
            "workbook",
        )
    )
    return notice


def _free_name(out: Path) -> str:
    names = (f"{MARK_SHEET}-before{number}.csv" for number in chain([""], count(-2, -1)))
    return next(name for name in names if not (out / name).exists())
