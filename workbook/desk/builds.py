"""A build that runs while the desk goes on answering.

In: what to set, and for whom. Out: how far it is, and what it said in the end: the same lines as
in the terminal. One build runs at a time, in a process of its own.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import date
from multiprocessing.connection import Connection
from pathlib import Path
from threading import Event

from workbook.errors import WorkbookError

NEXT, WHOLE = "next", "whole"
"""Sheets set by the marks, as ``workbook next`` does; whole templates, as ``build --week``."""


@dataclass(frozen=True)
class Wanted:
    """A build: ``what`` is NEXT or WHOLE; without ``students``, it is for everyone."""

    folder: Path
    what: str
    week: date
    students: Sequence[str]


@dataclass(frozen=True)
class Step:
    """How far a build is."""

    name: str = "Reading the roster"
    done: int = 0
    of: int = 0


@dataclass(frozen=True)
class End:
    """What a build reports at the end, and whether it succeeded."""

    well: bool
    lines: tuple[str, ...]


class Busy(WorkbookError):
    """Another build is running."""


@dataclass
class Job:
    """One build. ``at`` says how far it is."""

    week: date
    at: Step = field(default_factory=Step)
    cancelled: Event = field(default_factory=Event)
    future: Future[End] | None = None

    @property
    def running(self) -> bool:
        return self.future is not None and not self.future.done()

    @property
    def end(self) -> End:
        """What the finished build says; nothing while it runs."""
        if self.future is None or not self.future.done():
            return End(True, ())
        return self.future.result()


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
        job.future = self._pool.submit(_watched, job, Wanted(folder, what, week, students))

    def cancel(self) -> None:
        """Cancel the build that is running, if any."""
        if self.job and self.job.running:
            self.job.cancelled.set()

    def close(self) -> None:
        """Cancel what runs, and wait for its end."""
        self.cancel()
        self._pool.shutdown()


_PATIENCE = 0.1
"""Seconds until a wish to cancel is seen."""


def _run(wanted: Wanted, told: Connection, words: Connection) -> None:
    from workbook.desk.building import run  # the desk does without all that a build needs

    run(wanted, told, words)


def _watched(job: Job, wanted: Wanted) -> End:
    """Run a build to its end, and say in the job how far it is."""
    context = multiprocessing.get_context("spawn")
    told, telling = context.Pipe(duplex=False)
    hearing, words = context.Pipe(duplex=False)
    process = context.Process(target=_run, args=(wanted, telling, hearing))
    with closing(told), closing(words):
        process.start()
        telling.close()
        hearing.close()
        asked = False
        try:
            while True:
                if job.cancelled.is_set() and not asked:
                    asked = True
                    with suppress(OSError):  # it has already ended
                        words.send("cancel")
                if told.poll(_PATIENCE):
                    what = told.recv()
                    if isinstance(what, End):
                        return what
                    job.at = what
        except (EOFError, OSError):
            return End(False, ("The build process was terminated; build again.",))
        finally:
            words.close()
            process.join()
