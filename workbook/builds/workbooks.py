"""Builds the workbooks of a roster.

roster → orders → plans → exercises → snippets → pages → files (see DEVELOPERS.md).
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from itertools import chain
from pathlib import Path, PurePath

from workbook.builds.batches import Batch, write_rows
from workbook.builds.books import Book, Built, write_book
from workbook.builds.drawing import Engrave, order_books
from workbook.builds.earlier import earlier_sheets
from workbook.builds.orders import Fingerings, Order, expected_files, read_orders
from workbook.builds.parallel import Tasks, Workers
from workbook.builds.publish import staging
from workbook.builds.repeated import told_repeats
from workbook.builds.studio_files import STUDIO_FILES
from workbook.builds.together import Together
from workbook.builds.weekly_sheets import in_rounds, told_left_out, told_rounds
from workbook.cancel import Cancel
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.errors import CheckFailed, Finding
from workbook.exercises.model import Exercise
from workbook.marking.spellings import spelled
from workbook.pages.item import alternatives
from workbook.pages.paper import Paper
from workbook.planning.exercise_pool import ExercisePool
from workbook.record.from_exercise import shared
from workbook.studio.roster import Roster
from workbook.studio.settings import BuildSettings

Progress = Callable[[str, int, int], None]
"""Called with the name of a step, the amount done and the total."""

_SHARED_TEXTS = (shared, alternatives, spelled)
"""Texts that depend on the exercise alone, made once for all students who get it."""
_ROWS_AT_ONCE = 12
"""Rows planned and engraved in one batch: enough to keep every core busy."""
_AT_A_TIME = 3
"""Books or rows that go to a worker together."""
_FEW_BOOKS = 8
"""Below this number of books, starting worker processes costs more than it saves."""
_log = logging.getLogger(__name__)

_Written = tuple[Built, tuple[Finding, ...]]


def build(
    roster: Roster,
    out: Path | str,
    *,
    seed: str = "",
    students: Iterable[str] = (),
    template_dir: Path | str | None = None,
    fingering: Path | str | None = None,
    letters: str | None = None,
    steps: str | None = None,
    forms: int = 1,
    paper: str = "letter",
    size: str = "normal",
    punch: bool = False,
    grey: bool = False,
    fillable: bool = False,
    marking: str | None = None,
    exam: bool = False,
    pages: int | None = None,
    after: Iterable[Path | str] = (),
    progress: Progress | None = None,
    notice: Callable[[str], object] | None = None,
    cancel: Cancel | None = None,
    executor: Executor | None = None,
    processes: int = 1,
) -> list[Built]:
    """Build a workbook, an answer key and ``key.json`` for every row of ``roster``.

    The files are read back and checked without rendering. Rows are built in batches, so
    memory does not grow with their number.

    Args:
        roster: A CSV file, or rows by column: ``[{"student": "Ada", "template": …}]``.
        out: The folder to write into; other files there are left alone.
        seed: Any text; a different seed gives different exercises.
        students: Build only their rows; existing print jobs and mark sheets are updated.
        template_dir: A folder with the teacher's own templates.
        fingering: A file with the teacher's own fingerings.
        letters: Note names (see ``music.naming``) instead of the templates'.
        steps: Words for steps (see ``music.naming``) instead of the templates'.
        forms: The number of parallel forms of each workbook, 1 to 26.
        paper: "letter", "a4", "half-letter" or "a5"; this, size, letters, steps and fingering apply
            to rows that do not set their own. size: The size of staff, text and boxes: "normal",
            "large" or "extra-large". punch: Leave a wider margin at the binding. grey: Print the
            answers in black. fillable: Add a PDF form of each workbook, to fill in on a screen.
            marking: "share", "one off" or "all or nothing" (see ``points``) instead of the
            templates'. exam: Leave out all help: filled-in boxes and practice instructions. pages:
            The length of weekly sheets. Each has a share of its template; the number or day in its
            title says which. None leaves it to the templates. after: Folders of earlier sheets,
            whose exercises are not set again while others remain; the keys that a student has met
            least come first. progress: Called with "Engraving" or "Writing", the amount done and
            the total. notice: Called with sentences that the teacher should read. cancel: Cancels
            the build when set from another thread. executor: Runs the LilyPond processes; if None,
            the build uses its own threads. processes: Worker processes that write the pages of a
            large build.

    Returns:
        The workbooks written, in the roster's order.

    Raises:
        ValueError: An argument is out of range or unknown.
        InputError: The roster, a template or the fingerings have errors.
        EngraverMissing: LilyPond was not found.
        EngravingError: LilyPond could not engrave an exercise.
        CheckFailed: The new files did not pass the checks.
        OutputError: The files could not be put in place.
        Cancelled: ``cancel`` was set.
        After any of these, the files in ``out`` are unchanged.
    """
    settings = BuildSettings(
        paper,
        size,
        punch,
        grey,
        fillable,
        letters,
        steps,
        forms,
        fingering,
        template_dir,
        marking,
        exam,
        pages,
    )
    chosen = [students] if isinstance(students, str) else list(students)
    folders = [after] if isinstance(after, (str, Path)) else list(after)
    earlier = earlier_sheets(folders, Path(out)) if folders else None
    wanted, tables, everyone = read_orders(roster, settings, chosen, earlier)
    wanted = in_rounds(wanted, tables, engraver(progress, cancel, executor))
    return build_orders(
        wanted,
        out,
        settings,
        tables,
        everyone=everyone,
        seed=str(seed),
        progress=progress,
        notice=notice,
        cancel=cancel,
        executor=executor,
        processes=processes,
    )


def engraver(
    progress: Progress | None = None, cancel: Cancel | None = None, executor: Executor | None = None
) -> Engrave:
    """What engraves exercises before a build begins; they are in the cache when it needs them."""

    def drawn(exercises: list[Exercise], frames: list[Frame]) -> list[Snippet]:
        told = partial(progress, "Engraving") if progress else lambda done, of: None
        cache = Cache(folder())
        return engrave(
            exercises, told, frames=frames, cache=cache, executor=executor, cancel=cancel
        )

    return drawn


def build_orders(
    wanted: Sequence[Order],
    out: Path | str,
    settings: BuildSettings,
    tables: Fingerings,
    *,
    everyone: Sequence[PurePath],
    seed: str = "",
    progress: Progress | None = None,
    notice: Callable[[str], object] | None = None,
    cancel: Cancel | None = None,
    executor: Executor | None = None,
    processes: int = 1,
) -> list[Built]:
    """Build the workbooks of orders that have been read and checked.

    ``everyone`` has the folders of the whole roster, in its order. If they are those of the
    orders, the files for the whole studio are made, too; if they are more, existing ones are
    updated; if there are none, they are left alone. For the rest, and what is raised, see
    ``build``.
    """
    target, forms, grey = Path(out), settings.forms, settings.grey
    cancel = cancel or Cancel()
    whole = {one.folder for one in wanted} >= set(everyone)
    studio = bool(everyone) and (whole or any((target / name).exists() for name in STUDIO_FILES))
    files = expected_files(wanted, forms, studio)
    read: dict[str, bytes | None] = {}
    with staging(target, files, read=read, notice=notice) as new, ExitStack() as stack:
        run = _Run(new, grey, seed, forms, tables, progress, cancel, executor, settings.fillable)
        paper = Paper(settings.paper, settings.size, settings.punch)
        together = Together(new, target, everyone if studio else (), wanted, forms)
        stack.enter_context(together)
        count = len(wanted) * forms
        workers = stack.enter_context(Workers(processes if count >= _FEW_BOOKS else 1))
        built: list[Built] = []
        findings: list[Finding] = []
        for book, found in run.books(wanted, workers):
            cancel.check()
            together.add(book)
            built.append(replace(book, folder=target / book.folder.relative_to(new)))
            findings += found
            run.progress("Writing", len(built), count)
        _report(findings, target)
        sentences = [
            *together.finish(paper, read),
            *told_repeats((one.marked, one.repeats) for one in built),
            *told_rounds(wanted, seed),
            *told_left_out((one.marked, one.left_out) for one in built),
        ]
        for sentence in sentences:
            (notice or _log.info)(sentence)
        cancel.check()
    _log.info("%d workbooks written into %s", len(built), target)
    return built


class _Run:
    """One build in progress: the settings and caches that its books share."""

    def __init__(
        self,
        new: Path,
        grey: bool,
        seed: str,
        forms: int,
        tables: Fingerings,
        progress: Progress | None,
        cancel: Cancel,
        executor: Executor | None,
        fillable: bool,
    ):
        self._new, self._grey, self._fillable = new, grey, fillable
        self._seed, self._forms, self._tables = seed, forms, tables
        self._cancel, self._executor = cancel, executor
        self._pool, self._cache = ExercisePool(), Cache(folder())
        self.progress: Progress = progress or (lambda step, done, of: None)

    def books(self, wanted: Sequence[Order], workers: Workers) -> Iterable[_Written]:
        """Yield each book once it is written.

        The first rows are engraved here, on every core; they include most of what the others need.
        Worker processes then make the other rows from beginning to end, so that almost nothing is
        sent to them. Without workers, the next rows are engraved ahead.
        """
        if workers.processes:  # to send pages to a worker takes longer than to lay them out
            wanted = [replace(one, laid=None) for one in wanted]
        first = wanted[:_ROWS_AT_ONCE] if workers.processes else wanted
        writing: Tasks[list[_Written]] | None = None
        for start in range(0, len(first), _ROWS_AT_ONCE):
            self._cancel.check()
            books = self._engraved(first[start : start + _ROWS_AT_ONCE])
            if writing:
                yield from chain.from_iterable(writing.results())
            writing = workers.start(
                [
                    partial(_write_books, books[at : at + _AT_A_TIME], *self._look)
                    for at in range(0, len(books), _AT_A_TIME)
                ]
            )
        books = []
        later = workers.start(list(self._later(wanted[len(first) :])))
        if writing:
            yield from chain.from_iterable(writing.results())
        writing = None
        if workers.processes:  # what the other rows need is in the workers
            self._pool, self._cache = ExercisePool(), Cache(folder())
        yield from chain.from_iterable(later.results())

    def _later(self, orders: Sequence[Order]) -> Iterable[partial[list[_Written]]]:
        token = secrets.token_hex(8)
        for start in range(0, len(orders), _AT_A_TIME):
            some = tuple(orders[start : start + _AT_A_TIME])
            batch = Batch(
                some,
                "",
                self._seed,
                self._forms,
                self._grey,
                self._tables,
                self._fillable,
            )
            yield partial(write_rows, batch, self._new, token)

    @property
    def _look(self) -> tuple[bool, Path, bool]:
        return self._grey, self._new, self._fillable

    def _engraved(self, batch: Sequence[Order]) -> list[Book]:
        return order_books(
            batch,
            lambda one: one.plans(self._seed, self._tables, self._forms, self._pool),
            self._engrave,
        )

    def _engrave(self, exercises: list[Exercise], frames: list[Frame]) -> list[Snippet]:
        return engrave(
            exercises,
            partial(self.progress, "Engraving"),
            frames=frames,
            cache=self._cache,
            executor=self._executor,
            cancel=self._cancel,
            # before pickling, so that every worker has the texts
            meanwhile=partial(_make_texts, exercises),
        )


def _write_books(books: Sequence[Book], grey: bool, root: Path, fillable: bool) -> list[_Written]:
    return [write_book(book, grey, root, fillable) for book in books]


def _make_texts(exercises: Iterable[Exercise]) -> None:
    for exercise in exercises:
        for make in _SHARED_TEXTS:
            exercise.once(make)


def _report(findings: list[Finding], out: Path) -> None:
    if findings:
        raise CheckFailed(
            findings,
            f"Nothing was written into {out}: the new files did not pass the checks. "
            "This is a fault in the program; please report it with these lines.",
        )
