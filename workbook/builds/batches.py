"""A batch: some rows of a large build, built from beginning to end by one worker.

In: rows and settings that can be pickled. Out: the files of each workbook in a store, in a
folder named by its key code, and a small result for each. Complete workbooks are not built again.
Or, for a plain build: the files below a folder, wherever its orders say.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePath

from workbook.builds.books import Built, marked, write_book
from workbook.builds.drawing import Planned, drawn_books, order_books
from workbook.builds.orders import Fingerings, Order
from workbook.builds.storage import Storage, storage
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.errors import CheckFailed, Finding, WorkbookError
from workbook.exercises.model import Exercise
from workbook.marking.mark_sheet import Marked
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import NO_REPEATS, Plan, Repeats
from workbook.record.files import FORM, IN_EACH_FOLDER, KEY
from workbook.record.reader import Unreadable, read_record
from workbook.temporary import temporary

OTHER_CODE = "add a word to the row's seed"
"""What gives a row another key code."""


@dataclass(frozen=True)
class Batch:
    """Rows to build and what they have in common; ``out`` is a path or a URL."""

    orders: tuple[Order, ...]
    out: str
    seed: str
    forms: int
    grey: bool
    fingering: Fingerings
    fillable: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """A finished workbook, in the folder ``marked.code``.

    ``made`` says whether this run wrote it. ``paper`` is the name of its paper, ``repeats`` the
    exercises that are not new, ``left_out`` those that did not fit on its pages.
    """

    marked: Marked
    made: bool
    paper: str = "letter"
    repeats: Repeats = NO_REPEATS
    left_out: int = 0


def build_batch(batch: Batch) -> list[Done]:
    """Make the workbooks of a batch that are still missing.

    Each is written and checked in a folder of its own on this machine, then moved into the
    store, ``key.json`` last: a folder with that file is complete. Raises as ``build`` does,
    and WorkbookError for a key code that another workbook in the store has.
    """
    store, pool = storage(batch.out), ExercisePool()
    every = list(_plans(batch, pool))
    waiting = [one for one in every if not _is_made(one.plan, store)]
    _make(batch, waiting, store)
    made = {one.plan.code for one in waiting}
    return [
        Done(
            marked(one.plan),
            one.plan.code in made,
            one.paper.name,
            one.plan.repeats,
            one.plan.left_out,
        )
        for one in every
    ]


def _plans(batch: Batch, pool: ExercisePool) -> Iterator[Planned]:
    """The workbooks of a batch; weekly sheets are engraved to see what fits on their pages."""

    def plans(order: Order) -> list[Plan]:
        return order.plans(batch.seed, batch.fingering, batch.forms, pool)

    for one in batch.orders:
        if one.weekly:
            books = order_books([one], plans, partial(_engraved, Cache(folder())))
            made = [book.plan for book in books]
        else:
            made = plans(one)
        for plan in made:
            yield Planned(plan, PurePath(plan.code), one.paper)


def _is_made(plan: Plan, store: Storage) -> bool:
    """Whether the workbook is in the store; one whose ``key.json`` is damaged is not."""
    data = store.find(f"{plan.code}/{KEY}")
    if data is None:
        return False
    try:
        record = read_record(data.decode())
    except (Unreadable, UnicodeDecodeError):
        return False
    row = plan.row
    owner = record.student, record.title, record.template, record.form, record.seed
    if owner != (row.student, row.title, row.template.name, plan.form, plan.seed):
        raise WorkbookError(
            f"its key code, {plan.code}, also belongs to {record.student}, {record.title}; "
            f"{OTHER_CODE}, or delete the folder {plan.code} if it is not needed"
        )
    return True


def _make(batch: Batch, waiting: list[Planned], store: Storage) -> None:
    for book in drawn_books(waiting, partial(_engraved, Cache(folder()))):
        with temporary() as place:
            written, findings = write_book(book, batch.grey, place, batch.fillable)
            if findings:
                raise CheckFailed(findings)
            _store(written.folder, book.plan.code, store, batch.fillable)


def _store(folder: Path, code: str, store: Storage, fillable: bool) -> None:
    store.remove_parts(code)
    store.remove(f"{code}/{KEY}")  # while files are replaced, the workbook is not complete
    for file in (*((FORM,) if fillable else ()), *IN_EACH_FOLDER):
        store.write(f"{code}/{file}", (folder / file).read_bytes())


_shared: dict[str, tuple[ExercisePool, Fingerings, Cache]] = {}
"""What the batches of one build share in this process, by the build's token."""


def write_rows(batch: Batch, root: Path, token: str) -> list[tuple[Built, tuple[Finding, ...]]]:
    """Make the workbooks of a batch below ``root``, in the folders that its orders name.

    Batches with the same ``token`` share what they plan; they belong to one build.
    """
    if token not in _shared:
        _shared.clear()
        _shared[token] = ExercisePool(), batch.fingering, Cache(folder())
    pool, table, cache = _shared[token]
    books = order_books(
        batch.orders,
        lambda one: one.plans(batch.seed, table, batch.forms, pool),
        partial(_engraved, cache),
    )
    return [write_book(book, batch.grey, root, batch.fillable) for book in books]


def _engraved(cache: Cache, exercises: list[Exercise], frames: list[Frame]) -> list[Snippet]:
    with ThreadPoolExecutor(1) as one:  # a worker is one core's: one LilyPond at a time
        return engrave(exercises, frames=frames, cache=cache, executor=one)
