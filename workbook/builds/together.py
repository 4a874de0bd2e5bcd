"""The studio's files in the roster's order, from new and existing workbooks.

In: new workbooks, one by one, and the folders of the whole roster. Out: print jobs and a mark
sheet with all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path, PurePath
from types import TracebackType
from typing import Self

from workbook.builds.books import Built
from workbook.builds.orders import Order
from workbook.builds.studio_files import PrintJobs, write_mark_sheet
from workbook.builds.there import NotReadable, There, there
from workbook.marking.mark_sheet import Marked
from workbook.pages.paper import Paper
from workbook.planning.dealing import form_letters

_FILES = "the print jobs and the mark sheet"


class Together:
    """Makes the studio's files in ``new``: ``add`` each new workbook, then ``finish``.

    ``everyone`` has the folders of the whole roster; without any, nothing is made. What is not
    among the orders ``wanted`` is taken from ``target``, the folder of the earlier build. Use
    as a context manager.
    """

    def __init__(
        self,
        new: Path,
        target: Path,
        everyone: Sequence[PurePath],
        wanted: Sequence[Order],
        forms: int,
    ):
        self._new, self._target = new, target
        self._told: list[str] = []
        self._old: dict[PurePath, list[There]] = {}
        self._at, self._next = PurePath(), iter(tuple(everyone))
        self._jobs: PrintJobs | None = None
        self._marked: list[Marked] = []
        if not everyone:
            return
        self._orders = {
            one.place(form): one.folder for one in wanted for form in form_letters(forms)
        }
        try:
            self._old = self._read(everyone, {one.folder for one in wanted}, forms)
        except NotReadable as error:
            self._told.append(
                f"{_FILES.capitalize()} were not updated, because {error}: build the whole roster "
                "to update them."
            )
            return
        self._jobs = PrintJobs(new)

    def _read(
        self, everyone: Sequence[PurePath], made: set[PurePath], forms: int
    ) -> dict[PurePath, list[There]]:
        old = {row: there(self._target, row, forms) for row in everyone if row not in made}
        if missing := [row.as_posix() for row, found in old.items() if not found]:
            self._told.append(f"Not built yet, and so not in {_FILES}: {', '.join(missing)}.")
        return old

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._jobs:
            self._jobs.__exit__(kind, error, trace)

    def add(self, book: Built) -> None:
        """Add a new workbook, and before it those that come earlier in the roster."""
        if not self._jobs:
            return
        row = self._orders[PurePath(book.folder.relative_to(self._new))]
        while self._at != row:
            self._at = next(self._next)
            self._add_old(self._at)
        self._take(book.marked, book.paper, book.folder)

    def finish(self, paper: Paper, read: dict[str, bytes | None]) -> list[str]:
        """Complete the files, the mark sheet on ``paper``; returns sentences for the teacher.

        What was read of the old mark sheet is put into ``read``.
        """
        if self._jobs:
            for row in self._next:
                self._add_old(row)
            self._told.append(self._jobs.finish())
            self._told.append(write_mark_sheet(self._marked, paper, self._new, self._target, read))
        return [sentence for sentence in self._told if sentence]

    def _add_old(self, row: PurePath) -> None:
        for one in self._old.get(row, ()):
            self._take(one.marked, one.paper, one.folder)

    def _take(self, marked: Marked, paper: str, folder: Path) -> None:
        if self._jobs:
            self._jobs.add(marked, paper, partial(_file, folder))
            self._marked.append(marked)


def _file(folder: Path, name: str) -> bytes:
    return (folder / name).read_bytes()
