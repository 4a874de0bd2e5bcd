"""Other spellings to accept: notes for the marker, one example of each sort.

In: blanks of an exercise or of a record. Out: examples, and one line for each section of a
workbook. No sort appears in two sections. How answers are told, their kinds declare
(``exercises.telling``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Exercise
from workbook.exercises.telling import Sort, printed, typed
from workbook.record.matching import Asked

_SIGNS = "# and b for ♯ and ♭"


class Spelling(NamedTuple):
    """An example of another spelling: ``asks`` ("" for all rows), its sort, and its text."""

    asks: str
    sort: Sort
    text: str


def spellings(sections: Iterable[Iterable[Spelling]]) -> list[str]:
    """One line for each section, with an example of each sort new to the workbook.

    A section with no new sort gets "".
    ``"chord: Cm as C minor, min, -; E♭7 as …; # and b for ♯ and ♭"``
    """
    known: set[tuple[str, Sort]] = set()
    lines = []
    for section in sections:
        found: dict[str, list[str]] = {}
        for asks, sort, text in section:
            if (asks, sort) not in known:
                known.add((asks, sort))
                found.setdefault(asks, []).append(text)
        last = found.pop("", [])
        lines.append(
            "; ".join([*(f"{asks}: {'; '.join(texts)}" for asks, texts in found.items()), *last])
        )
    return lines


def spelled(exercise: Exercise) -> list[Spelling]:
    """Other spellings of the answers of an exercise, one example of each sort."""
    return others_spelled(exercise.asked)


def others_spelled(blanks: Iterable[Asked]) -> list[Spelling]:
    """Other spellings of the answers, one example of each sort."""
    found: dict[tuple[str, Sort], Spelling] = {}
    for blank in blanks:
        for example in _examples(blank):
            found.setdefault((example.asks, example.sort), example)
    return list(found.values())


def _examples(blank: Asked) -> Iterator[Spelling]:
    if blank.asks in DRAWN:
        return
    telling, also = KINDS[blank.asks].telling, printed(blank.answer, blank.also)
    for answer, others in telling.spelled(blank.answer, also):
        for sort, text in telling.examples(answer, others):
            yield Spelling(blank.asks, sort, text)
    if typed((blank.answer,)):
        yield Spelling("", (), _SIGNS)
