"""A build in its own process, with lower priority than the desk.

In: what to set, for whom, and a signal to cancel. Out: messages about its progress, and at the end
the lines that the terminal would show. It has no workers of its own and runs one LilyPond at a
time: one core is left to the desk, and memory stays small on a computer with many.
"""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from multiprocessing.connection import Connection

from workbook.builds.workbooks import Progress
from workbook.cancel import Cancel, Cancelled
from workbook.desk.builds import NEXT, End, Step, Wanted
from workbook.errors import InputError, WorkbookError
from workbook.weeks.next_sheets import set_next
from workbook.weeks.sets import Run, set_week
from workbook.weeks.studios import opened

_NICE = 10
_BELOW_NORMAL = 0x4000
"""BELOW_NORMAL_PRIORITY_CLASS of Windows."""


def run(wanted: Wanted, told: Connection, words: Connection) -> None:
    """Build; send a Step at each progress, and an End. Anything in ``words``, or the end of the
    process at its other side, cancels.
    """
    _step_back()
    cancel, sending = Cancel(), threading.Lock()
    threading.Thread(target=_cancelled_by, args=[words, cancel], daemon=True).start()

    def send(what: Step | End) -> None:
        with sending, suppress(OSError):  # nobody listens any more
            told.send(what)

    send(_end(wanted, cancel, lambda name, done, of: send(Step(name, done, of))))


def _end(wanted: Wanted, cancel: Cancel, progress: Progress) -> End:
    try:
        return End(True, _built(wanted, cancel, progress))
    except Cancelled:
        return End(False, ("The build was cancelled; nothing was written.",))
    except InputError as error:
        return End(False, ("Nothing was written:", *map(str, error.problems)))
    except WorkbookError as error:
        return End(False, tuple(str(error).splitlines()))
    except Exception as error:  # noqa: BLE001  (told on the page, whatever it is)
        return End(False, (f"The build failed, and nothing was written: {error!r}",))


def _built(wanted: Wanted, cancel: Cancel, progress: Progress) -> tuple[str, ...]:
    notices: list[str] = []
    with ThreadPoolExecutor(1) as one_at_a_time, opened(wanted.folder) as studio:
        run = Run(progress, notices.append, cancel, one_at_a_time)
        if wanted.what == NEXT:
            sheets = set_next(studio, wanted.week, students=wanted.students, run=run)
            built = [one.built for one in sheets]
        else:
            built = set_week(studio, wanted.week, students=wanted.students, run=run)
    return (*(f"{one.student}: {one.title}, key code {one.code}" for one in built), *notices)


def _cancelled_by(words: Connection, cancel: Cancel) -> None:
    with suppress(EOFError, OSError):
        words.recv()
    cancel.cancel()


def _step_back() -> None:
    """Run at low priority and ignore signals of the terminal: the desk passes them on."""
    if sys.platform == "win32":
        kernel = ctypes.windll.kernel32
        kernel.SetPriorityClass(kernel.GetCurrentProcess(), _BELOW_NORMAL)
    else:
        os.setsid()
        os.nice(_NICE)
