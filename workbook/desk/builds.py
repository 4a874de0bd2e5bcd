"""A build that runs while the desk goes on answering.

In: what to set, and for whom. Out: how far it is, and what it said in the end: the same lines as
in the terminal. One build runs at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from workbook.cancel import Cancel, Cancelled
from workbook.engraving.engrave import cores
from workbook.errors import InputError, WorkbookError
from workbook.weeks.next_sheets import set_next
from workbook.weeks.sets import Run, set_week
from workbook.weeks.studios import opened

NEXT, WHOLE = "next", "whole"
"""Sheets set by the marks, as ``workbook next`` does; whole templates, as ``build --week``."""


class Busy(WorkbookError):
    """Another build is running."""


@dataclass
class Job:
    """One build. ``step``, ``done`` and ``of`` say how far it is."""

    week: date
    step: str = "Reading the roster"
    done: int = 0
    of: int = 0
    notices: list[str] = field(default_factory=list)
    cancel: Cancel = field(default_factory=Cancel)
    future: Future[list[str]] | None = None

    def tell(self, step: str, done: int, of: int) -> None:
        """Note how far the build is."""
        self.step, self.done, self.of = step, done, of

    @property
    def running(self) -> bool:
        return self.future is not None and not self.future.done()

    def lines(self) -> tuple[bool, list[str]]:
        """Whether the finished build went well, and what it says."""
        if self.future is None or not self.future.done():
            return True, []
        error = self.future.exception()
        if error is None:
            return True, [*self.future.result(), *self.notices]
        if isinstance(error, Cancelled):
            return False, ["The build was cancelled; nothing was written."]
        if isinstance(error, InputError):
            return False, ["Nothing was written:", *map(str, error.problems)]
        if isinstance(error, WorkbookError):
            return False, str(error).splitlines()
        return False, [f"The build failed, and nothing was written: {error!r}"]


class Builds:
    """The build that is running, or the last one. Any thread may ask."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(1, "build")
        self.job: Job | None = None

    def start(self, folder: Path, what: str, week: date, students: Sequence[str]) -> None:
        """Begin a build for ``students``, or for all. Raises Busy."""
        if self.job and self.job.running:
            raise Busy("A build is running; wait for it, or cancel it.")
        job = Job(week)
        self.job = job
        job.future = self._pool.submit(_build, job, folder, what, students)

    def cancel(self) -> None:
        """Cancel the build that is running, if any."""
        if self.job and self.job.running:
            self.job.cancel.cancel()

    def close(self) -> None:
        """Cancel what runs, and wait for its end."""
        self.cancel()
        self._pool.shutdown()


def _build(job: Job, folder: Path, what: str, students: Sequence[str]) -> list[str]:
    run = Run(job.tell, job.notices.append, job.cancel, cores())
    with opened(folder) as studio:
        if what == NEXT:
            built = [one.built for one in set_next(studio, job.week, students=students, run=run)]
        else:
            built = set_week(studio, job.week, students=students, run=run)
    return [f"{one.student}: {one.title}, key code {one.code}" for one in built]
