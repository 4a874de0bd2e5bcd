"""A large build shared by many workers: batches of rows run by any executor.

In: a roster and an executor (``concurrent.futures``, or a cluster's by dask). Out: the
files of each workbook in a folder named by its key code; at the end, from these files, the
print jobs and the mark sheet. A second run makes what is missing.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path, PurePosixPath

from workbook.builds.batches import Batch, Done, build_batch
from workbook.builds.orders import Order, read_orders
from workbook.builds.recovery import recover
from workbook.builds.repeated import told_repeats
from workbook.builds.storage import Storage, storage
from workbook.builds.studio_files import PrintJobs, mark_sheet_pdf, mark_table_files
from workbook.builds.workbooks import Progress
from workbook.cancel import Cancel
from workbook.errors import WorkbookError
from workbook.pages.paper import Paper
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, MARK_SHEET, MARK_TABLE
from workbook.studio.roster import Roster
from workbook.studio.settings import BuildSettings
from workbook.temporary import temporary

ROWS = 50
"""Rows in a batch: enough for a worker to share what it engraves, few enough to lose."""
VOLUME = 2000
"""Workbooks in one print job; beyond that there are several, numbered from 001."""
_AHEAD = 64
"""Batches handed out at a time, so that memory does not grow with their number."""
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Failed:
    """A row that could not be built, and why."""

    order: Order
    reason: str

    def __str__(self) -> str:
        return f"row {self.order.row.number}, {self.order.row.student}: {self.reason}"


@dataclass(frozen=True)
class Summary:
    """What a large build did: workbooks in all, those that this run made, a notice or ""."""

    workbooks: int
    made: int
    notice: str


def build_on(
    executor: Executor,
    roster: Roster,
    out: Path | str,
    settings: BuildSettings = BuildSettings(),  # noqa: B008  # frozen
    *,
    seed: str = "",
    rows: int = ROWS,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Summary:
    """Build every row of a roster with the workers of ``executor``.

    A batch that fails, or whose worker dies, is tried again row by row, so that one bad row
    costs no other; all others are finished first.

    Args:
        executor: Runs ``build_batch``; its workers must have this package and see ``out``.
        roster: A CSV file, or rows by column.
        out: A folder, or a URL that fsspec knows.
        settings: Paper, size, words and the rest, for rows that have none of their own.
        seed: Any word; another one gives other exercises.
        rows: Rows in a batch.
        progress: Called with "Building" or "Joining", how much is done, how much there is.
        cancel: Ends the build from another thread; what is finished stays.

    Raises:
        InputError: Something is wrong in the roster, a template or the fingerings.
        WorkbookError: Some rows could not be built; the text names each.
        Cancelled: ``cancel`` was set.
    """
    orders, tables, _ = read_orders(roster, settings)
    if "://" not in str(out):
        recover(Path(out), below=True)
    paper = Paper(settings.paper, settings.size, settings.punch)
    whole = Batch((), str(out), str(seed), settings.forms, settings.grey, tables)
    tell = progress or (lambda step, done, of: None)
    run = _Run(executor, whole, tell, len(orders), cancel or Cancel())
    found = run.all(orders, rows)
    if run.failed:
        lines = "\n".join(str(one) for one in sorted(run.failed, key=lambda f: f.order.row.number))
        raise WorkbookError(
            f"{len(run.failed)} of {len(orders)} rows could not be built; all others are in "
            f"{out}, and the next run skips them:\n{lines}"
        )
    told = told_repeats((one.marked, one.repeats) for one in found)
    notice = "\n".join(filter(None, [_join(found, storage(out), paper, tell), *told]))
    return Summary(len(found), sum(one.made for one in found), notice)


class _Run:
    """Batches under way."""

    def __init__(
        self, executor: Executor, whole: Batch, tell: Progress, count: int, cancel: Cancel
    ):
        self._executor, self._whole, self._tell = executor, whole, tell
        self._count, self._cancel, self._finished = count, cancel, 0
        self.failed: list[Failed] = []

    def all(self, orders: list[Order], rows: int) -> list[Done]:
        """What each row gave, in order; rows that failed are in ``failed``."""
        found: dict[int, list[Done]] = {}
        alone: list[int] = []
        for start, result in self._results(_batches(orders, rows)):
            if isinstance(result, list):
                found[start] = result
                self._finished += min(rows, len(orders) - start)
            else:
                _log.warning("batch of rows from %d failed: %s", start, result)
                alone += range(start, min(start + rows, len(orders)))
            self._tell("Building", self._finished, self._count)
        for start, result in self._results((n, (orders[n],)) for n in alone):
            if isinstance(result, list):
                found[start] = result
            else:
                self.failed.append(Failed(orders[start], _reason(result)))
            self._finished += 1
            self._tell("Building", self._finished, self._count)
        return [one for start in sorted(found) for one in found[start]]

    def _results(
        self, batches: Iterable[tuple[int, tuple[Order, ...]]]
    ) -> Iterator[tuple[int, list[Done] | BaseException]]:
        """Each batch's start with its result, or what ended it, as they come."""
        waiting: dict[Future[list[Done]], int] = {}
        source = iter(batches)
        try:
            while True:
                for start, some in islice(source, _AHEAD - len(waiting)):
                    waiting[self._submit(some)] = start
                if not waiting:
                    return
                self._cancel.check()
                done, _ = wait(waiting, timeout=1.0, return_when=FIRST_COMPLETED)
                for future in done:
                    error = future.exception()
                    yield waiting.pop(future), error or future.result()
        finally:
            for future in waiting:
                future.cancel()

    def _submit(self, some: tuple[Order, ...]) -> Future[list[Done]]:
        try:
            return self._executor.submit(build_batch, replace(self._whole, orders=some))
        except RuntimeError as error:  # the executor takes no more: its workers are gone
            failed: Future[list[Done]] = Future()
            failed.set_exception(error)
            return failed


def _batches(orders: list[Order], rows: int) -> Iterator[tuple[int, tuple[Order, ...]]]:
    for start in range(0, len(orders), rows):
        yield start, tuple(orders[start : start + rows])


def _reason(error: BaseException) -> str:
    if isinstance(error, WorkbookError):
        return str(error)
    return f"its worker ended or failed ({type(error).__name__}: {error})"


def _join(found: list[Done], store: Storage, paper: Paper, tell: Progress) -> str:
    """Make the print jobs and the mark sheet of the files that are there; returns a notice.

    Many papers go into volumes, so that memory does not grow with their number.
    """
    books = [one.marked for one in found]
    volumes = [found[start : start + VOLUME] for start in range(0, len(found), VOLUME)]
    read: dict[str, bytes | None] = {}
    told: list[str] = []
    with store.together(read, told.append) as new:
        for number, volume in enumerate(volumes, 1):
            ending = f"-{number:03}" if len(volumes) > 1 else ""
            told.append(_write_volume(volume, ending, store, new, paper))
            tell("Joining", min(number * VOLUME, len(books)), len(books))
        before = read[MARK_TABLE] = store.read(MARK_TABLE) if store.exists(MARK_TABLE) else None
        files, notice = mark_table_files(books, before, store.exists)
        for file, data in files.items():
            new.write(file, data)
    return "\n".join(dict.fromkeys(filter(None, [notice, *told])))


def _write_volume(
    books: list[Done], ending: str, store: Storage, new: Storage, paper: Paper
) -> str:
    """Write the print jobs and the mark sheet of some workbooks in ``store`` into ``new``.

    Returns a notice, or "".
    """
    with temporary() as folder:
        with PrintJobs(folder) as jobs:
            for book in books:
                jobs.add(book.marked, book.paper, partial(_read, store, book.marked.code))
            told = jobs.finish()
        for file in (ALL_WORKBOOKS, ALL_KEYS):
            new.put(_named(file, ending), folder / file)
    sheet = mark_sheet_pdf([book.marked for book in books], paper)
    new.write(_named(MARK_SHEET, ending), sheet)
    return told


def _named(file: str, ending: str) -> str:
    """``"all-workbooks-002.pdf"``."""
    path = PurePosixPath(file)
    return f"{path.stem}{ending}{path.suffix}"


def _read(store: Storage, code: str, file: str) -> bytes:
    return store.read(f"{code}/{file}")


_ADDRESS = re.compile(r"local:[1-9][0-9]{0,3}|[a-z]+://[^\s:/]+:[0-9]{1,5}")
"""What names a cluster: some processes of this machine, or a scheduler."""


@contextmanager
def connect(cluster: str) -> Iterator[Executor]:
    """An executor of a dask cluster: ``"tcp://host:8786"``, or ``"local:4"`` for four
    worker processes on this machine. Raises WorkbookError if dask is not installed.
    """
    try:
        from distributed import Client, LocalCluster
    except ImportError:
        raise WorkbookError(
            "A build on a cluster needs dask; install it with: pip install 'workbook[cluster]'"
        ) from None
    kind, _, count = cluster.partition(":")
    if not _ADDRESS.fullmatch(cluster):
        raise WorkbookError(f'"{cluster}" names no cluster; write local:4 or tcp://host:8786')
    make: Callable[[], object] = (
        (lambda: LocalCluster(n_workers=int(count), threads_per_worker=1, dashboard_address=None))
        if kind == "local"
        else (lambda: cluster)
    )
    try:
        joined = Client(make())
    except (OSError, ValueError):  # what distributed raises when nobody answers, or on bad names
        raise WorkbookError(
            f'no cluster answers at "{cluster}"; start its scheduler, or write local:4'
        ) from None
    with joined as client:
        yield client.get_executor(pure=False, retries=2)
        if kind == "local":
            client.shutdown()
