"""Exercises to snippets: from the cache, or by as many LilyPond runs as there are cores.

In: exercises, and the frames they are set in. Out: a snippet for each, in order. Exercises
with the same music in the same frame share one. Music that LilyPond rejects stops nothing else:
the rest is drawn and kept.
"""

from __future__ import annotations

import logging
import os
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor, as_completed, wait
from contextlib import ExitStack
from itertools import islice
from math import inf
from types import TracebackType
from typing import Self

from workbook.cancel import Cancel, Cancelled
from workbook.design import HANDS
from workbook.engraving import figures, lilypond
from workbook.engraving.cache import Cache, address, folder
from workbook.engraving.frame import Frame, natural
from workbook.engraving.shares import Piece, draw_share, shares
from workbook.engraving.snippet import Snippet
from workbook.errors import MOST_LISTED, EngravingError
from workbook.exercises.model import Exercise

Progress = Callable[[int, int], None]
"""Takes how many are ready, and how many there are."""

_log = logging.getLogger(__name__)


def cores() -> int:
    """The number of processor cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def engrave(
    exercises: Iterable[Exercise],
    progress: Progress = lambda _done, _of: None,
    *,
    frames: Iterable[Frame] | None = None,
    cache: Cache | None = None,
    executor: Executor | None = None,
    cancel: Cancel | None = None,
    meanwhile: Callable[[], object] = lambda: None,
) -> list[Snippet]:
    """A snippet for each exercise, in its frame of ``frames``; without these, in one of its own.

    ``progress`` is called with the number of distinct pictures that are ready, and the number
    to be drawn; calls come from any thread, one at a time. ``executor`` runs the LilyPond
    processes; without one, threads of this call do. ``cancel`` ends the work from another
    thread: the LilyPond processes of this call, and of no other, are ended at once, but
    those in the processes of a caller's ProcessPoolExecutor finish. ``meanwhile`` is called
    once, while LilyPond draws if it has anything to draw.

    Raises EngraverMissing; Cancelled; Unusable, at once, if LilyPond fails whatever the
    music; or EngravingError, which names the exercises that could not be drawn, after all
    others have gone into the cache.
    """
    started = time.monotonic()
    cancel = cancel or Cancel()
    cancel.check()
    exercises = list(exercises)
    if frames is None:
        frames = [natural(e) for e in exercises]
    pieces = [Piece(e, frame) for e, frame in zip(exercises, frames, strict=True)]
    cache = cache or Cache(folder())
    version = lilypond.version(lilypond.find())
    addresses = {
        _identity(piece): ""
        if piece.exercise.figure
        else piece.exercise.once(address, piece.frame, version)
        for piece in {_identity(piece): piece for piece in pieces}.values()
    }
    drawn: dict[str, Snippet] = {}
    wanted: dict[str, Piece] = {}
    for piece in pieces:
        name = addresses[_identity(piece)]
        if name and name not in drawn and name not in wanted:
            found = cache.get(name)
            if found is None:
                wanted[name] = piece
            else:
                drawn[name] = found
    cached = len(drawn)
    if wanted:
        with _Runs(len(wanted), progress, executor, cancel) as runs:
            drawn |= _draw(wanted, runs, cache, meanwhile)
    else:
        meanwhile()
    _log.info(
        "%d exercises: %d pictures from the cache, %d drawn, in %.2f s",
        len(exercises),
        cached,
        len(wanted),
        time.monotonic() - started,
    )
    return [
        figures.draw(piece.exercise, piece.frame.size, _room(piece.frame))
        if piece.exercise.figure
        else drawn[addresses[_identity(piece)]]
        for piece in pieces
    ]


def _room(frame: Frame) -> float:
    """The width of a frame in points; no limit if it has none."""
    return frame.width * HANDS[frame.size].space or inf


def _identity(piece: Piece) -> tuple[int, Frame]:
    return id(piece.exercise), piece.frame


class _Runs:
    """The LilyPond runs of one call of ``engrave``, which do not outlive it."""

    def __init__(
        self,
        count: int,
        progress: Progress,
        executor: Executor | None,
        cancel: Cancel,
    ) -> None:
        self._done, self._count, self._progress = 0, count, progress
        self._lock = threading.Lock()
        self._pool = executor or ThreadPoolExecutor(cores())
        self._own = executor is None
        # other processes can share neither the count of pages nor the token
        self._shared = isinstance(self._pool, ThreadPoolExecutor)
        self._cancel, self._stop = cancel, Cancel()
        self._futures: dict[Future[list[Snippet | str]], list[str]] = {}
        self._exit = ExitStack()

    def __enter__(self) -> Self:
        self._exit.enter_context(self._cancel.on_cancel(self._stop.cancel))
        self._add(0)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        _error: BaseException | None,
        _traceback: TracebackType | None,
    ) -> None:
        if kind:
            running = [future for future in self._futures if not future.cancel()]
            self._stop.cancel()
            if self._shared:
                wait(running)
        if self._own:
            self._pool.shutdown()
        self._exit.close()

    def _add(self, count: int) -> None:
        with self._lock:
            self._done = min(self._done + count, self._count)
            self._progress(self._done, self._count)

    def draw(
        self, pieces: dict[str, Piece], meanwhile: Callable[[], object]
    ) -> Iterator[tuple[str, Snippet | str]]:
        """The snippets of the named pieces, as they are drawn; for a piece that fails,
        LilyPond's message. ``meanwhile`` is called once they have begun.
        """
        # the size of a pool is not public; where it is unknown, a run for each core will do
        at_once = min(cores(), getattr(self._pool, "_max_workers", cores()))
        here = (lambda: self._add(1), self._stop) if self._shared else ()
        self._futures = {
            self._pool.submit(draw_share, [pieces[name] for name in names], *here): list(names)
            for names in shares(sorted(pieces), at_once)
        }
        meanwhile()
        cancelled: Future[list[Snippet | str]] = Future()
        with self._stop.on_cancel(lambda: cancelled.set_exception(Cancelled())):
            finished = as_completed([*self._futures, cancelled])
            for future in islice(finished, len(self._futures)):
                made = future.result()  # ``cancelled`` raises
                yield from zip(self._futures[future], made)
                if not self._shared:
                    self._add(len(made))


def _draw(
    wanted: dict[str, Piece], runs: _Runs, cache: Cache, meanwhile: Callable[[], object]
) -> dict[str, Snippet]:
    """The snippets of the pieces that the cache lacks, by address."""
    drawn: dict[str, Snippet] = {}
    failed: dict[str, str] = {}
    for name, made in runs.draw(wanted, meanwhile):
        if isinstance(made, str):
            failed[name] = made
        else:
            drawn[name] = made
            cache.put(name, made)
    cache.trim()
    if failed:
        complaints = [(wanted[name].exercise, said) for name, said in failed.items()]
        raise EngravingError(_complaints(complaints))
    return drawn


def _complaints(failed: Sequence[tuple[Exercise, str]]) -> str:
    """A line for each exercise, or one for all if LilyPond says the same of each."""
    if len(failed) > 1 and len({message for _, message in failed}) == 1:
        return f"{len(failed)} exercises could not be drawn: {failed[0][1]}"
    lines = [_complaint(*one) for one in failed[:MOST_LISTED]]
    if len(failed) > MOST_LISTED:
        lines.append(f"and {len(failed) - MOST_LISTED} more")
    return "\n".join(lines)


def _complaint(exercise: Exercise, message: str) -> str:
    return (
        f"{exercise.family} in {exercise.key.ascii} ({exercise.label}) could not be drawn: "
        f"{message}"
    )
