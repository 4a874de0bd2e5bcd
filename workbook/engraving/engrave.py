"""Exercises to snippets: one LilyPond run for all of them, each distinct one once.

In: exercises. Out: a snippet for each, in order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from workbook.engraving import figures, lilypond, score, snippet
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise


def source(scores: Iterable[str]) -> str:
    """A whole LilyPond file: one book part, so one page, for each score."""
    parts = "\n".join(f"\\bookpart {{ {text} }}" for text in scores)
    return ('\\version "2.24.0"\n\\language "english"\n' + snippet.PAPER + score.BOX_ROW
            + "\\layout {" + score.LAYOUT + "}\n\\book {\n" + parts + "\n}\n")


def engrave(exercises: Iterable[Exercise],
            progress: Callable[[int, int], None] = lambda done, of: None) -> list[Snippet]:
    """A snippet for each exercise; exercises with the same music share one.

    ``progress`` is called with how many distinct ones are drawn, and how many there are.

    The order within the run is that of the sources' text, so that the same set
    of exercises gives the same bytes. Raises EngraverMissing, EngravingError.
    """
    exercises = list(exercises)
    texts = [None if exercise.figure else score.score_source(exercise) for exercise in exercises]
    distinct = sorted(set(filter(None, texts)))
    pages = 0

    def each_line(line: str) -> None:
        nonlocal pages
        if line.startswith("@PAGE"):
            pages += 1
            progress(pages, len(distinct))

    drawn: dict[str, Snippet] = {}
    if distinct:
        done = lilypond.run(source(distinct), each_line=each_line)
        drawn = dict(zip(distinct, snippet.read(done, len(distinct))))
    return [drawn[text] if text else figures.draw(exercise.figure)
            for text, exercise in zip(texts, exercises)]
