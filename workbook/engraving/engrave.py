"""Exercises to snippets: from the cache, or by as many LilyPond runs as there are cores.

In: exercises. Out: a snippet for each, in order. Exercises with the same music
share one. Music that takes more lines than it asks for is drawn again with lines of
about one length. What LilyPond rejects is found by halving its run, so that the rest is
drawn and kept.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor, as_completed
from typing import NamedTuple

from workbook.engraving import figures, lilypond, line_breaks, snippet
from workbook.engraving.cache import Cache, address, folder
from workbook.engraving.snippet import Snippet
from workbook.errors import EngravingError
from workbook.exercises.model import Exercise

LINE_WIDTH = 160
"""Millimetres: the line of a book of normal size; larger ones have shorter lines."""
_LEAST_SHARE = 12
"""Exercises below which another run costs more to start than it saves."""
_MOST_SHARE = 250
A_BOOK = 16
"""Exercises in a book of a run; the first books are read while the next are engraved."""
_SECONDS, _SECONDS_EACH = 30.0, 1.0
"""The bound of a run: so much, and so much for each exercise in it."""

Progress = Callable[[int, int], None]


class Piece(NamedTuple):
    """What to draw: the arguments of ``score.score_source``."""

    exercise: Exercise
    breaks: bool = False
    turns: tuple[int, ...] = ()


def source(scores: Iterable[str], line_width: int = LINE_WIDTH, a_book: int = A_BOOK) -> str:
    """A whole LilyPond file: one book part, so one page, for each score, so many to a book."""
    from workbook.engraving import score

    parts = [f"\\bookpart {{ {text} }}\n" for text in scores]
    books = "".join(
        "\\book {\n" + "".join(some) + "}\n" + lilypond.BOOK_END + "\n"
        for some in _books(parts, a_book)
    )
    return (
        '\\version "2.24.0"\n\\language "english"\n'
        + snippet.PAPER
        + f"\\paper {{ line-width = {line_width}\\mm }}\n"
        + score.BOX_ROW
        + "\\layout {"
        + score.LAYOUT
        + "}\n"
        + books
    )


def _books(parts: Sequence, a_book: int = A_BOOK) -> list[Sequence]:
    return [parts[start : start + a_book] for start in range(0, len(parts), a_book)]


def cores() -> int:
    """The processor cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def engrave(
    exercises: Iterable[Exercise],
    progress: Progress = lambda done, of: None,
    *,
    line_width: int = LINE_WIDTH,
    cache: Cache | None = None,
    executor: Executor | None = None,
    cancel: object = None,
) -> list[Snippet]:
    """A snippet for each exercise, its lines at most ``line_width`` millimetres long.

    ``progress`` is called with how many distinct ones are ready, and how many there
    are. ``executor`` runs the LilyPond processes (a pool of threads if None).
    Raises EngraverMissing, or EngravingError that names each exercise that could
    not be drawn, after all others have gone into the cache.
    """
    exercises = list(exercises)
    cache = cache or Cache(folder())
    version = lilypond.version(lilypond.find())
    # students share exercises: the same object need be told from others only once
    named = {
        id(e): None if e.figure else address(e, version, line_width)
        for e in {id(e): e for e in exercises}.values()
    }
    names = [named[id(e)] for e in exercises]
    drawn: dict[str, Snippet] = {}
    wanted: dict[str, Exercise] = {}
    for name, exercise in zip(names, exercises):
        if name and name not in drawn and name not in wanted:
            found = cache.get(name)
            if found is None:
                wanted[name] = exercise
            else:
                drawn[name] = found
    if wanted:
        drawn |= _draw(wanted, line_width, progress, cache, executor)
    return [
        drawn[name] if name else figures.draw(exercise.figure)
        for name, exercise in zip(names, exercises)
    ]


def _draw(
    wanted: dict[str, Exercise],
    line_width: int,
    progress: Progress,
    cache: Cache,
    executor: Executor | None,
) -> dict[str, Snippet]:
    done, drawn = 0, {}
    progress(0, len(wanted))

    def page() -> None:
        nonlocal done
        done += 1
        progress(min(done, len(wanted)), len(wanted))

    own = executor is None
    pool = executor or ThreadPoolExecutor(cores())
    # how many it runs at once is no public knowledge; without it, one run a core is as good
    at_once = min(cores(), getattr(pool, "_max_workers", cores()))

    def runs(pieces: dict[str, Piece]) -> Iterator[tuple[str, Snippet | str]]:
        nonlocal done
        shares: dict[Future, Sequence[str]] = {}
        for names in _shares(sorted(pieces), at_once) if pieces else ():
            shares[
                pool.submit(
                    draw_share,
                    [pieces[name] for name in names],
                    line_width,
                    *([page] if own else []),
                )
            ] = names
        for future in as_completed(shares):
            names = shares[future]
            yield from zip(names, future.result())
            if not own:
                done += len(names)
                progress(min(done, len(wanted)), len(wanted))

    narrow = line_width < LINE_WIDTH
    try:
        again: dict[str, tuple[int, ...]] = {}
        for name, made in runs(
            {name: Piece(exercise, narrow) for name, exercise in wanted.items()}
        ):
            drawn[name] = made
            if ends := _ends(wanted[name], made):
                again[name] = ends
            elif isinstance(made, Snippet):
                cache.put(name, made)
        for name, made in runs(
            {name: Piece(wanted[name], True, ends) for name, ends in again.items()}
        ):
            # where the lines of one length do not fit after all, LilyPond's own remain
            if isinstance(made, Snippet) and len(made.lines) == (
                line_breaks.parts(wanted[name]) + len(again[name])
            ):
                drawn[name] = made
            cache.put(name, drawn[name])
    except BaseException:
        if own:
            pool.shutdown(wait=False, cancel_futures=True)
            lilypond.end_runs()
        raise
    finally:
        if own:
            pool.shutdown()
    cache.trim()
    failed = [(wanted[name], made) for name, made in drawn.items() if isinstance(made, str)]
    if failed:
        raise EngravingError(
            "\n".join(
                f"{exercise.family} in {exercise.key.ascii} ({exercise.label}) could not be drawn: "
                f"{said}"
                for exercise, said in failed
            )
        )
    return drawn


def _ends(exercise: Exercise, drawn: Snippet | str) -> tuple[int, ...]:
    """Where its lines should end, if LilyPond had to break it by itself."""
    if isinstance(drawn, str) or len(drawn.lines) == line_breaks.parts(exercise):
        return ()
    return line_breaks.turns(exercise, len(drawn.lines))


def _shares(names: Sequence[str], at_once: int) -> list[Sequence[str]]:
    """The names dealt to runs: as many as there are ``at_once``, fewer for a few, more for
    very many.
    """
    count = max(1, min(at_once, len(names) // _LEAST_SHARE), -(-len(names) // _MOST_SHARE))
    return [names[start::count] for start in range(count)]


def draw_share(
    pieces: Sequence[Piece], line_width: int = LINE_WIDTH, page: Callable[[], None] = lambda: None
) -> list[Snippet | str]:
    """The snippets of one LilyPond run; for a piece that fails, what LilyPond said.

    A run that fails or hangs is made again in halves. Raises EngraverMissing, and
    ``lilypond.Ended`` when the build was broken off.
    """

    def each_line(line: str) -> None:
        if line.startswith("@PAGE"):
            page()

    def scores() -> str:
        from workbook.engraving import score

        return source([score.score_source(*piece) for piece in pieces], line_width)

    try:
        bound = _SECONDS + _SECONDS_EACH * len(pieces)
        runs = lilypond.run(scores, bound, each_line)
        # past the last book is the end of the run, which says whether all is well
        found = [
            one for run, book in zip(runs, _books(pieces)) for one in snippet.read(run, len(book))
        ]
        if len(found) != len(pieces):
            raise EngravingError(f"LilyPond drew {len(found)} of {len(pieces)} exercises")
        return found
    except EngravingError as error:
        if len(pieces) == 1:
            return [str(error)]
        half = len(pieces) // 2
        return [*draw_share(pieces[:half], line_width), *draw_share(pieces[half:], line_width)]
