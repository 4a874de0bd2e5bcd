"""The files for a whole studio: two print jobs and the mark sheet.

In: the files of each workbook, in order. Out: ``all-workbooks.pdf``,
``all-answer-keys.pdf``, ``mark-sheet.csv`` and ``mark-sheet.pdf``.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from itertools import chain, count
from pathlib import Path
from types import TracebackType
from typing import Self

from workbook.builds.titles import of_students
from workbook.design import PAPER_NAMES, PAPERS
from workbook.errors import OutputError
from workbook.inputs.files import read_file
from workbook.inputs.messages import any_of, reason
from workbook.marking.carried import carry
from workbook.marking.mark_sheet import NO_MARKS, Marked, Marks, TableForm, mark_sheet
from workbook.pages import render
from workbook.pages.mark_sheet import lay_out_marks
from workbook.pages.mark_sheet import size as mark_sheet_size
from workbook.pages.paper import Paper
from workbook.pages.render import SUBJECTS
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job
from workbook.record.files import (
    ALL_KEYS,
    ALL_WORKBOOKS,
    ANSWER_KEY,
    MARK_SHEET,
    MARK_TABLE,
    WORKBOOK,
)

STUDIO_FILES = (ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET)
"""What papers are called in messages."""
_HOLDS = {WORKBOOK: "Workbooks", ANSWER_KEY: "Answer keys"}
_FACES = {WORKBOOK: render.WORKBOOK, ANSWER_KEY: render.ANSWER_KEY}
"""What each print job holds, and the face of its pages."""
_STEM = Path(MARK_TABLE).stem


class PrintJobs:
    """Writes the two print jobs into ``folder``: ``add`` each workbook, then ``finish``.

    Workbooks on several papers go into one job, each page in its own size, so that it has every
    student in the roster's order. Use as a context manager, which closes the files.
    """

    def __init__(self, folder: Path):
        self._papers: dict[str, None] = {}
        self._books: list[Marked] = []
        self._open = ExitStack()
        self._jobs = {
            file: Job(self._open.enter_context((folder / job).open("wb")), title, "workbook")
            for (file, title), job in zip(_HOLDS.items(), (ALL_WORKBOOKS, ALL_KEYS))
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

    def add(self, book: Marked, paper: str, read: Callable[[str], bytes]) -> None:
        """Add the workbook and the answer key of ``book``, which ``read`` gives by file name.

        ``paper`` is the name of their paper.
        """
        self._papers[paper] = None
        self._books.append(book)
        name = f"{book.student}, {book.title}"
        for file, job in self._jobs.items():
            job.add_finished(FinishedPdf(read(file)), PAPERS[paper], name)

    def finish(self) -> str:
        """Complete both PDFs, with a title that says whose workbooks they hold.

        Call this after the last ``add``.

        Returns a sentence if they have pages of several sizes, otherwise "".
        """
        for file, job in self._jobs.items():
            job.finish(of_students(_HOLDS[file], self._books), SUBJECTS[_FACES[file]])
        if len(self._papers) < 2:
            return ""
        names = any_of([PAPER_NAMES[paper] for paper in self._papers], "and")
        return (
            f"{ALL_WORKBOOKS} and {ALL_KEYS} have pages of several sizes ({names}): let the "
            "printer choose the paper for each page, or make a print job for each size with "
            "workbook print."
        )


def mark_table_files(
    books: Sequence[Marked], before: bytes | None, taken: Callable[[str], bool]
) -> tuple[dict[str, bytes], str]:
    """The mark sheet as a table, by file name, with the marks from the table ``before``.

    The new table has the separator and the encoding of the old one. If anything in the old
    one has no place in it, the old one is kept under a name that is not ``taken``, and the
    notice returned says so in one line. Otherwise the notice is "".
    """
    if before is None:
        return {MARK_TABLE: TableForm().encoded(mark_sheet(books, NO_MARKS))}, ""
    old = carry(before, books)
    files, notice = {}, ""
    if old.left:
        names = (f"{_STEM}-before{number}.csv" for number in chain([""], count(-2, -1)))
        name = next(name for name in names if not taken(name))
        files[name] = before
        notice = (
            f"{MARK_TABLE} was replaced, and the old one kept as {name}, "
            f"because it has entries that the new one lacks: {'; '.join(old.left)}."
        )
    files[MARK_TABLE] = old.form.encoded(mark_sheet(books, old.marks, old.form))
    return files, notice


def mark_sheet_pdf(books: Sequence[Marked], paper: Paper, marks: Marks = NO_MARKS) -> bytes:
    """The mark sheet on paper, with the points in ``marks``."""
    return render.render(
        lay_out_marks(list(books), paper.name, marks),
        render.WORKBOOK,
        mark_sheet_size(paper.name),
        "Mark sheet",
        "workbook",
        subject="The points of each workbook, section by section",
    )


def _before(table: Path) -> bytes | None:
    """The existing mark sheet, or None. Raises OutputError."""
    if not table.exists():
        return None
    try:
        return read_file(table)
    except OSError as error:
        raise OutputError(f"cannot read the marks in {table}: {reason(error)}") from None


def write_mark_sheet(
    books: Sequence[Marked], paper: Paper, new: Path, out: Path, read: dict[str, bytes | None]
) -> str:
    """Write the mark sheet into ``new`` with the marks from the one in ``out``.

    What was read is put into ``read``, by file name. Returns the notice of
    ``mark_table_files``. Raises OutputError if the one in ``out`` cannot be read.
    """
    before = read[MARK_TABLE] = _before(out / MARK_TABLE)
    files, notice = mark_table_files(books, before, lambda name: os.path.lexists(out / name))
    for name, data in files.items():
        (new / name).write_bytes(data)
    (new / MARK_SHEET).write_bytes(mark_sheet_pdf(books, paper))
    return notice
