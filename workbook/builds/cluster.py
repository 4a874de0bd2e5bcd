"""A large build shared by many workers: batches of rows run by any executor.

In: a roster and an executor (``concurrent.futures``, or that of a dask cluster). Out: the
files of each workbook in a folder named by its key code; at the end, from these files, the
print jobs and the mark sheet. A second run makes what is missing.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from workbook.builds.batches import OTHER_CODE, Batch, Done, build_batch
from workbook.builds.earlier import earlier_sheets
from workbook.builds.joining import join
from workbook.builds.orders import Order, read_orders
from workbook.builds.recovery import recover
from workbook.builds.repeated import told_repeats
from workbook.builds.shared_settings import settle
from workbook.builds.storage import Storage, storage
from workbook.builds.weekly_sheets import in_rounds, told_left_out, told_rounds
from workbook.builds.workbooks import Progress, engraver
from workbook.cancel import Cancel
from workbook.errors import MOST_LISTED, WorkbookError
from workbook.pages.paper import Paper
from workbook.record.files import KEY, MARK_TABLE
from workbook.studio.roster import Roster
from workbook.studio.settings import BuildSettings

ROWS = 50
"""Rows in a batch: enough for a worker to share what it engraves, few enough to lose."""
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
    after: Sequence[Path | str] = (),
    rows: int = ROWS,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Summary:
    """Build every row of a roster with the workers of ``executor``.

    A batch that fails is tried again row by row, so that a bad row does not stop others; all others
    are finished first. Rows whose worker died are tried one at a time: rows that wait on a worker
    fail with it.

    Args:
        executor: Runs ``build_batch``; its workers must have this package and see ``out``.
        roster: A CSV file, or rows by column.
        out: A folder, or a URL that fsspec knows.
        settings: Paper, size, words and the rest, for rows that have none of their own.
        seed: Any word; another one gives other exercises.
        after: Folders of earlier sheets, as in ``build``; a later run needs the same ones.
        rows: Rows in a batch.
        progress: Called with "Building" or "Joining", how much is done, how much there is.
        cancel: Ends the build from another thread; what is finished stays.

    Raises:
        InputError: Something is wrong in the roster, a template or the fingerings, or ``out``
            has workbooks of other settings, templates or fingerings.
        OutputError: The files cannot be written to ``out``.
        WorkbookError: Some rows could not be built; the text names them. Or the executor has
            lost its workers, or a finished file is gone.
        Cancelled: ``cancel`` was set.
    """
    store = storage(out)
    earlier = earlier_sheets(after, Path(out)) if after else None
    orders, tables, _ = read_orders(roster, settings, earlier=earlier)
    if "://" not in str(out):
        recover(Path(out), below=True)
    orders = in_rounds(orders, tables, engraver(cancel=cancel))
    store.find(MARK_TABLE)  # unreadable marks are reported now, not after hours
    settle(store, settings, orders, tables)
    paper = Paper(settings.paper, settings.size, settings.punch)
    whole = Batch((), str(out), str(seed), settings.forms, settings.grey, tables, settings.fillable)
    tell, cancel = progress or (lambda step, done, of: None), cancel or Cancel()
    run = _Run(executor, whole, tell, len(orders), cancel)
    found = run.all(orders, rows)
    failed = [*run.failed, *_same_code(orders, found, settings.forms, store)]
    if failed:
        raise WorkbookError(_said(failed, len(orders), out))
    done = [one for some in found.values() for one in some]
    told = [
        *told_repeats((one.marked, one.repeats) for one in done),
        *told_rounds(orders, str(seed)),
        *told_left_out((one.marked, one.left_out) for one in done),
    ]
    notice = "\n".join(filter(None, [join(done, store, paper, tell, cancel), *told]))
    return Summary(len(done), sum(one.made for one in done), notice)


class _Run:
    """Batches under way."""

    def __init__(
        self, executor: Executor, whole: Batch, tell: Progress, count: int, cancel: Cancel
    ):
        self._executor, self._whole, self._tell = executor, whole, tell
        self._count, self._cancel, self._finished = count, cancel, 0
        self.failed: list[Failed] = []

    def all(self, orders: list[Order], rows: int) -> dict[int, list[Done]]:
        """The results of the rows from each start on, in order; failed rows are in ``failed``."""
        found: dict[int, list[Done]] = {}
        failing: list[int] = []
        lethal: list[int] = []
        for start, result in self._results(_batches(orders, rows), _AHEAD):
            end = min(start + rows, len(orders))
            if isinstance(result, list):
                found[start] = result
                self._finished += end - start
            else:
                _log.warning("batch of rows from %d failed: %s", start, result)
                alone = failing if isinstance(result, WorkbookError) else lethal
                alone += range(start, end)
            self._tell("Building", self._finished, self._count)
        for some, ahead in ((failing, _AHEAD), (lethal, 1)):
            for start, result in self._results(((n, (orders[n],)) for n in some), ahead):
                if isinstance(result, list):
                    found[start] = result
                else:
                    self.failed.append(Failed(orders[start], _reason(result)))
                self._finished += 1
                self._tell("Building", self._finished, self._count)
        return dict(sorted(found.items()))

    def _results(
        self, batches: Iterable[tuple[int, tuple[Order, ...]]], ahead: int
    ) -> Iterator[tuple[int, list[Done] | BaseException]]:
        """Each batch's start with its result, or what ended it, as they come.

        No more than ``ahead`` are under way.
        Raises WorkbookError if there are no workers left.
        """
        waiting: dict[Future[list[Done]], int] = {}
        source = iter(batches)
        try:
            while True:
                for start, some in islice(source, ahead - len(waiting)):
                    self._cancel.check()
                    waiting[self._submit(some)] = start
                if not waiting:
                    return
                self._cancel.check()
                done, _ = wait(waiting, timeout=1.0, return_when=FIRST_COMPLETED)
                for future in done:
                    yield waiting.pop(future), _ended(future) or future.result()
        finally:
            for future in waiting:
                future.cancel()

    def _submit(self, some: tuple[Order, ...]) -> Future[list[Done]]:
        try:
            return self._executor.submit(build_batch, replace(self._whole, orders=some))
        except RuntimeError as error:  # the executor takes no more: its workers are gone
            raise _no_workers(error) from None


def _ended(future: Future[list[Done]]) -> BaseException | None:
    """What a batch raised, if anything. Raises WorkbookError if there are no workers left."""
    if future.cancelled():  # as dask does with every batch when it loses its scheduler
        raise _no_workers("a batch was cancelled")
    error = future.exception()
    if isinstance(error, BrokenExecutor):
        raise _no_workers(error)
    return error


def _no_workers(reason: object) -> WorkbookError:
    _log.warning("no workers: %s", reason)
    return WorkbookError(
        "The workers have stopped, or the connection to them was lost. Finished workbooks are "
        "kept; run the command again to make the rest."
    )


def _batches(orders: list[Order], rows: int) -> Iterator[tuple[int, tuple[Order, ...]]]:
    for start in range(0, len(orders), rows):
        yield start, tuple(orders[start : start + rows])


def _same_code(
    orders: list[Order], found: dict[int, list[Done]], forms: int, store: Storage
) -> Iterator[Failed]:
    """The rows with the key code of another row that was built at the same time.

    The files in the folder may be of either, so it no longer counts as complete.
    """
    first: dict[str, int] = {}
    for start, some in found.items():
        for place, one in enumerate(some):
            row, code = start + place // forms, one.marked.code
            other = first.setdefault(code, row)
            if other != row:
                store.remove(f"{code}/{KEY}")
                who = orders[other].row
                yield Failed(
                    orders[row],
                    f"its key code, {code}, also belongs to row {who.number}, {who.student}; "
                    f"{OTHER_CODE}, and the next run makes both",
                )


def _reason(error: BaseException) -> str:
    if isinstance(error, WorkbookError):
        return str(error)
    return f"its worker ended or failed ({type(error).__name__}: {error})"


def _said(failed: list[Failed], count: int, out: Path | str) -> str:
    named = sorted(failed, key=lambda one: one.order.row.number)
    lines = [str(one) for one in named[:MOST_LISTED]]
    if len(named) > MOST_LISTED:
        lines.append(f"and {len(named) - MOST_LISTED:,} more")
    return (
        f"{len(failed)} of {count} rows could not be built; all others are in {out}, and the "
        "next run skips them:\n" + "\n".join(lines)
    )
