"""Worker processes that share the writing of a build.

In: functions that can be pickled, with their arguments. Out: what each returns, in
order. The processes are started by a server without threads (``forkserver``; ``spawn``
where there is none), so a build may run beside other threads. Few tasks are run here.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from types import TracebackType
from typing import Generic, Self, TypeVar

from workbook.errors import WorkbookError

Result = TypeVar("Result")

PRELOADED = "workbook.builds.books"
"""What a worker needs, loaded once by the server that starts them."""


class Workers:
    """At most ``processes`` worker processes; with fewer than two, tasks are run here.

    Use as a context manager: at its end no worker is left, whatever happened.
    """

    def __init__(self, processes: int):
        self._pool: ProcessPoolExecutor | None = None
        if processes > 1:
            context = multiprocessing.get_context(_method())
            if hasattr(context, "set_forkserver_preload"):
                context.set_forkserver_preload([PRELOADED])
            self._pool = ProcessPoolExecutor(processes, context, _begin)
            for _ in range(processes):  # they start while the first books are engraved
                self._pool.submit(os.getpid)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pool:
            # what a worker is writing it finishes: none writes once this returns
            self._pool.shutdown(wait=True, cancel_futures=True)

    def start(self, tasks: Sequence[Callable[[], Result]]) -> Tasks[Result]:
        """Begin with ``tasks``; their results are had from what is returned."""
        return Tasks(tasks, [self._pool.submit(task) for task in tasks] if self._pool else None)


class Tasks(Generic[Result]):
    """Tasks under way."""

    def __init__(self, tasks: Sequence[Callable[[], Result]], futures: list[Future[Result]] | None):
        self._tasks, self._futures = tasks, futures

    def results(self) -> Iterator[Result]:
        """What each task returns, as soon as it is there.

        Raises what the first failing task raised, and WorkbookError when a worker process
        was terminated.
        """
        if self._futures is None:
            for task in self._tasks:
                yield task()
            return
        for future in self._futures:
            try:
                yield future.result()
            except BrokenProcessPool:
                raise WorkbookError(
                    "A worker process was terminated. Nothing was written; run the command again."
                ) from None


def _method() -> str:
    methods = multiprocessing.get_all_start_methods()
    return "forkserver" if "forkserver" in methods else "spawn"


def _begin() -> None:
    """Prepare a worker: Ctrl-C is the first process's to answer, and its end is the worker's."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    gc.freeze()  # what was loaded stays to the end
    gc.set_threshold(10_000)  # a workbook is quickly made, and its garbage soon gone with it


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent:
        parent.join()
        os._exit(1)
