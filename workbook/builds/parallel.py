"""Worker processes that write the workbooks of a build in parallel.

In: picklable callables. Out: their results, in order. Workers are started by ``forkserver``,
or by ``spawn`` where that does not exist, because a plain fork is unsafe beside threads.
With fewer than two processes, tasks run in the calling process.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from types import TracebackType
from typing import Generic, Self, TypeVar

from workbook.builds.signals import held, held_from_children, let_in
from workbook.engraving.process import end_all
from workbook.errors import WorkbookError

Result = TypeVar("Result")

PRELOADED = "workbook.builds.batches"
"""The module that workers need; the fork server loads it once for all of them."""


class Workers:
    """A pool of ``processes`` workers. With fewer than two, tasks run in this process.

    Use as a context manager. No worker is left when it exits.
    """

    def __init__(self, processes: int):
        self._pool: ProcessPoolExecutor | None = None
        self.processes = processes if processes > 1 else 0
        """Worker processes; 0 if tasks run in this one."""
        if processes > 1:
            try:
                with held():  # a start cut in two leaves a worker that nobody waits for
                    self._pool = _open_pool(processes)
                    _start(self._pool, processes)
            except BaseException:
                self._end()
                raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._end()

    def _end(self) -> None:
        if self._pool:
            # wait until workers finish writing, so that none writes after this returns;
            # a terminal that is closed may say so twice
            with held():
                self._pool.shutdown(wait=True, cancel_futures=True)

    def start(self, tasks: Sequence[Callable[[], Result]]) -> Tasks[Result]:
        """Start ``tasks``. Get their results from the returned object."""
        return Tasks(tasks, [self._pool.submit(task) for task in tasks] if self._pool else None)


class Tasks(Generic[Result]):
    """Tasks that have been started."""

    def __init__(self, tasks: Sequence[Callable[[], Result]], futures: list[Future[Result]] | None):
        self._tasks, self._futures = tasks, futures

    def results(self) -> Iterator[Result]:
        """Yield the result of each task in order, as soon as it is ready.

        Raises the exception of the first task that failed, or WorkbookError if a worker
        process was terminated.
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


COLLECT = 500_000
"""The garbage collection threshold of processes that make workbooks, which make many objects but no
cycles."""


def _method() -> str:
    methods = multiprocessing.get_all_start_methods()
    return "forkserver" if "forkserver" in methods else "spawn"


def _open_pool(processes: int) -> ProcessPoolExecutor:
    context = multiprocessing.get_context(_method())
    if hasattr(context, "set_forkserver_preload"):
        context.set_forkserver_preload([PRELOADED])
    with held_from_children():
        return ProcessPoolExecutor(processes, context, _begin)


def _start(pool: ProcessPoolExecutor, processes: int) -> None:
    """Start the workers, while the first books are engraved."""
    with held_from_children():  # again: multiprocessing lets signals in after its first child
        for _ in range(processes):
            pool.submit(os.getpid)


def _begin() -> None:
    """Prepare a worker: at Ctrl-C and the end of the terminal, which the parent handles, its
    LilyPond ends; the worker ends with the parent.
    """
    let_in(lambda _number, _frame: end_all())
    threading.Thread(target=_end_with_parent, daemon=True).start()
    gc.freeze()  # loaded modules stay for good
    gc.set_threshold(COLLECT)


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent:
        parent.join()
        end_all()
        os._exit(1)
