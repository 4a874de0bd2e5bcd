"""Tasks shared out to copies of this process, which end with them.

In: functions without arguments. Out: what each returns, in order. A copy is made by
``fork``, so that a task's data need not be sent to it; where the system has no safe
``fork``, or there is little to do, the tasks are run here.
"""

from __future__ import annotations

import gc
import multiprocessing
import pickle
import signal
import sys
from collections.abc import Callable, Iterator, Sequence

from workbook.errors import WorkbookError

_LEAST = 4
"""Tasks below which a copy costs more than it saves."""


class Tasks:
    """Tasks under way in at most ``processes`` copies of this process.

    Must be made while no other thread runs. Call ``results``, or ``end`` to give up.
    """

    def __init__(self, tasks: Sequence[Callable[[], object]], processes: int):
        self._tasks, self._copies = tasks, []
        if processes < 2 or len(tasks) < _LEAST or sys.platform != "linux":
            return
        context = multiprocessing.get_context("fork")
        for first in range(min(processes, len(tasks))):
            here, there = context.Pipe(duplex=False)
            copy = context.Process(target=_work, args=(tasks[first::processes], there), daemon=True)
            copy.start()
            there.close()
            self._copies.append((copy, here))

    def results(self) -> Iterator:
        """What each task returns, as soon as it is there.

        Raises what the first failing task raised, and WorkbookError when a copy was ended.
        """
        if not self._copies:
            for task in self._tasks:
                yield task()
            return
        try:
            for number in range(len(self._tasks)):
                _, answers = self._copies[number % len(self._copies)]
                try:
                    result, error = answers.recv()
                except EOFError:
                    raise WorkbookError(
                        "a part of this program was ended from outside; "
                        "nothing was written, run it again"
                    ) from None
                if error:
                    raise error
                yield result
        finally:
            self.end()

    def end(self) -> None:
        """End the copies, finished or not."""
        for copy, answers in self._copies:
            copy.terminate()
            copy.join()
            answers.close()
        self._copies.clear()


def _work(tasks: Sequence[Callable[[], object]], answers) -> None:
    """What a copy does. Ctrl-C, which reaches it too, is for the first process to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    gc.freeze()  # what is the first process's is not looked through, nor copied for it
    gc.set_threshold(10_000)  # a workbook is quickly made, and its waste soon gone with it
    for task in tasks:
        try:
            answers.send((task(), None))
        except Exception as error:
            answers.send((None, _sendable(error)))
            return


def _sendable(error: Exception) -> Exception:
    try:
        if str(pickle.loads(pickle.dumps(error))) == str(error):
            return error
    except Exception:
        pass
    named = "" if isinstance(error, WorkbookError) else f"{type(error).__name__}: "
    return WorkbookError(f"{named}{error}")
