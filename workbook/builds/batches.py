"""A batch: some rows of a large build, made from beginning to end by one worker.

In: rows and settings that can be pickled. Out: the files of each workbook in a store, in a
folder named by its key code, and a small result for each. A workbook that is complete is
not made again. Or, for a plain build: the files below a folder, wherever its orders say.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path, PurePath

from workbook.builds.books import Book, Built, marked, write_book
from workbook.builds.orders import Order
from workbook.builds.storage import Storage, storage
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import Snippet
from workbook.errors import CheckFailed, Finding, WorkbookError
from workbook.fingering.conventions import Conventions
from workbook.marking.mark_sheet import Marked
from workbook.pages.columns import frames
from workbook.pages.paper import Paper
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import Plan
from workbook.record.files import FORM, IN_EACH_FOLDER, KEY
from workbook.record.reader import Unreadable, read_record
from workbook.temporary import temporary

OTHER_CODE = "write a word into the row's seed"
"""What gives a row another key code."""


@dataclass(frozen=True)
class Batch:
    """Rows to build and what they have in common; ``out`` is a path or a URL."""

    orders: tuple[Order, ...]
    out: str
    seed: str
    forms: int
    paper: Paper
    grey: bool
    fingering: Conventions
    fillable: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """A workbook that is there, in the folder ``marked.code``.

    ``made`` tells whether this run wrote it.
    """

    marked: Marked
    made: bool


def build_batch(batch: Batch) -> list[Done]:
    """Make the workbooks of a batch that are not there yet.

    Each is written and checked in a folder of its own on this machine, then moved into the
    store, ``key.json`` last: a folder with that file is complete. Raises as ``build`` does,
    and WorkbookError for a key code that another workbook in the store has.
    """
    store, pool = storage(batch.out), ExercisePool()
    every = list(_plans(batch, pool))
    waiting = [plan for plan in every if not _is_made(plan, store)]
    _make(batch, waiting, store)
    made = {plan.code for plan in waiting}
    return [Done(marked(plan), plan.code in made) for plan in every]


def _plans(batch: Batch, pool: ExercisePool) -> Iterator[Plan]:
    for one in batch.orders:
        yield from one.plans(batch.seed, batch.fingering, batch.forms, pool)


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
            f"its key code, {plan.code}, is also that of {record.student}, {record.title}; "
            f"{OTHER_CODE}, or delete the folder {plan.code} if it is not needed"
        )
    return True


def _make(batch: Batch, waiting: list[Plan], store: Storage) -> None:
    snippets = iter(_engraved(waiting, batch.paper, Cache(folder())))
    for plan in waiting:
        with temporary() as place:
            book = Book(plan, tuple(next(snippets) for _ in plan.items), PurePath(plan.code))
            written, findings = write_book(book, batch.paper, batch.grey, place, batch.fillable)
            if findings:
                raise CheckFailed(findings)
            _store(written.folder, plan.code, store, batch.fillable)


def _store(folder: Path, code: str, store: Storage, fillable: bool) -> None:
    store.remove_parts(code)
    store.remove(f"{code}/{KEY}")  # while files are replaced, the workbook is not complete
    for file in (*((FORM,) if fillable else ()), *IN_EACH_FOLDER):
        store.write(f"{code}/{file}", (folder / file).read_bytes())


_shared: dict[str, tuple[ExercisePool, Conventions, Cache]] = {}
"""What the batches of one build share in this process, by the build's token."""


def write_rows(batch: Batch, root: Path, token: str) -> list[tuple[Built, tuple[Finding, ...]]]:
    """Make the workbooks of a batch below ``root``, in the folders that its orders name.

    Batches with the same ``token`` share what they plan; they belong to one build.
    """
    if token not in _shared:
        _shared.clear()
        _shared[token] = ExercisePool(), batch.fingering, Cache(folder())
    pool, table, cache = _shared[token]
    every = [
        (one.place(plan.form), plan)
        for one in batch.orders
        for plan in one.plans(batch.seed, table, batch.forms, pool)
    ]
    snippets = iter(_engraved([plan for _, plan in every], batch.paper, cache))
    return [
        write_book(
            Book(plan, tuple(next(snippets) for _ in plan.items), place),
            batch.paper,
            batch.grey,
            root,
            batch.fillable,
        )
        for place, plan in every
    ]


def _engraved(plans: Sequence[Plan], paper: Paper, cache: Cache) -> list[Snippet]:
    exercises = [item.exercise for plan in plans for item in plan.items]
    every = [frame for plan in plans for frame in frames(plan, paper)]
    with ThreadPoolExecutor(1) as one:  # a worker is one core's: one LilyPond at a time
        return engrave(exercises, frames=every, cache=cache, executor=one)
