"""A share of the exercises: what one LilyPond run draws.

In: exercises, and the frames they are set in. Out: a snippet for each. Music that
LilyPond rejects is found by halving the run, so that the rest is still drawn.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from typing import NamedTuple, TypeVar

from workbook.cancel import Cancel
from workbook.engraving import lilypond, snippet
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.errors import EngravingError
from workbook.exercises.model import Exercise

BOOK_SIZE = 16
"""Exercises in one book of a run; the first books are read while the next are engraved."""
_LEAST, _MOST = 12, 250
"""Exercises in a share: with fewer, another run costs more to start than it saves."""
_SECONDS, _SECONDS_EACH = 30.0, 1.0
"""The time limit of a share: so much, and so much more for each exercise in it."""

_log = logging.getLogger(__name__)
_Item = TypeVar("_Item")


class Piece(NamedTuple):
    """What to draw: the arguments of ``score.score_source``."""

    exercise: Exercise
    frame: Frame


def source(scores: Iterable[str], book_size: int = BOOK_SIZE) -> str:
    """A whole LilyPond file: a book part, and so a page, for each score; ``book_size`` to a
    book.
    """
    from workbook.engraving import score

    parts = [f"\\bookpart {{ {text} }}\n" for text in scores]
    books = "".join(
        "\\book {\n" + "".join(some) + "}\n" + lilypond.BOOK_END + "\n"
        for some in _books(parts, book_size)
    )
    return (
        '\\version "2.24.0"\n\\language "english"\n'
        + snippet.PAPER
        + score.BOX_ROW
        + "\\layout {"
        + score.LAYOUT
        + "}\n"
        + books
    )


def _books(items: Sequence[_Item], size: int = BOOK_SIZE) -> list[Sequence[_Item]]:
    return [items[start : start + size] for start in range(0, len(items), size)]


def shares(names: Sequence[str], at_once: int) -> list[Sequence[str]]:
    """``names`` dealt into shares: one for each of the ``at_once`` runs that can go on at the
    same time; fewer if there is little to draw, more if there is very much; none for nothing.
    """
    if not names:
        return []
    count = max(1, min(at_once, len(names) // _LEAST), -(-len(names) // _MOST))
    return [names[start::count] for start in range(count)]


def draw_share(
    pieces: Sequence[Piece],
    page: Callable[[], None] = lambda: None,
    cancel: Cancel | None = None,
) -> list[Snippet | str]:
    """The snippets of one LilyPond run; for a piece that fails, LilyPond's message.

    ``page`` is called for each page that LilyPond finishes. A run that fails because of its
    music is made again in halves, within the same time limit. Raises EngraverMissing;
    Unusable for a fault that is not the music's, such as a run that hangs; and Cancelled when
    ``cancel`` is cancelled.
    """
    seconds = _SECONDS + _SECONDS_EACH * len(pieces)
    until = time.monotonic() + seconds
    try:
        return _draw(pieces, page, cancel, until)
    except lilypond.TookTooLong:
        raise lilypond.TookTooLong(seconds) from None  # not what was left for the last half


def _draw(
    pieces: Sequence[Piece],
    page: Callable[[], None],
    cancel: Cancel | None,
    until: float,
) -> list[Snippet | str]:
    try:
        return _draw_all(pieces, page, cancel, until)
    except lilypond.Unusable:
        raise
    except EngravingError as error:
        if len(pieces) == 1:
            return [str(error)]
    _log.info("a run of %d exercises failed and is made again in halves", len(pieces))
    half = len(pieces) // 2
    return [
        made
        for some in (pieces[:half], pieces[half:])
        for made in _draw(some, lambda: None, cancel, until)
    ]


def _draw_all(
    pieces: Sequence[Piece],
    page: Callable[[], None],
    cancel: Cancel | None,
    until: float,
) -> list[Snippet | str]:
    """The snippets of one run, or the EngravingError of any of its pieces."""

    def each_line(line: str) -> None:
        if line.startswith("@PAGE"):
            page()

    def scores() -> str:
        from workbook.engraving import score

        return source([score.score_source(*piece) for piece in pieces])

    found: list[Snippet | str] = []
    with closing(lilypond.run(scores, until - time.monotonic(), each_line, cancel)) as runs:
        # ``zip`` asks for one run more than there are books: only then does ``run`` tell
        # whether all went well
        for run, book in zip(runs, _books(pieces)):
            found += snippet.read(run, len(book))
    if len(found) != len(pieces):
        raise EngravingError(f"LilyPond drew {len(found)} of {len(pieces)} exercises")
    return found
