"""Other spellings to accept: a table for the marker, one example of each sort.

In: blanks of an exercise or of a record. Out: examples, each sort once for a workbook. Kinds of
answer declare how they are listed (``exercises.telling``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Exercise
from workbook.exercises.telling import Sort, printed, typed
from workbook.record.matching import Asked

SIGNS: Sort = ()
"""The sort of # and b for sharps and flats, which all kinds have in common."""
_TYPED = "♯ ♭", "# b"


class Spelling(NamedTuple):
    """A line of the table: ``asks`` ("" for all kinds) and the sort, which belong together, an
    answer as it is printed, and what is right in its place.
    """

    asks: str
    sort: Sort
    printed: str
    others: str

    @property
    def title(self) -> str:
        """What is asked for, in words."""
        return KINDS[self.asks].title if self.asks else "Every answer"


def spellings(found: Iterable[Spelling]) -> list[Spelling]:
    """One of each sort, kind by kind in the order in which a workbook asks for them.

    What holds for all kinds comes last.
    """
    kinds: dict[str, dict[Sort, Spelling]] = {}
    for one in found:
        kinds.setdefault(one.asks, {}).setdefault(one.sort, one)
    last = kinds.pop("", {})
    return [one for sorts in (*kinds.values(), last) for one in sorts.values()]


def spelled(exercise: Exercise) -> list[Spelling]:
    """Other spellings of the answers of an exercise, one example of each sort."""
    return others_spelled(exercise.asked)


def others_spelled(blanks: Iterable[Asked]) -> list[Spelling]:
    """Other spellings of the answers, one example of each sort."""
    found: dict[tuple[str, Sort], Spelling] = {}
    for answer in dict.fromkeys((blank.asks, blank.answer, blank.also) for blank in blanks):
        for example in _examples(*answer):
            found.setdefault((example.asks, example.sort), example)
    return list(found.values())


@lru_cache(maxsize=8192)
def _examples(asks: str, answer: str, also: tuple[str, ...]) -> tuple[Spelling, ...]:
    """The examples that one answer gives; most workbooks have the same answers."""
    return tuple(_found(asks, answer, also))


def _found(asks: str, answer: str, also: tuple[str, ...]) -> Iterator[Spelling]:
    different = printed(answer, also)
    if asks in DRAWN and not different:
        return
    telling = KINDS[asks].telling
    for spelled_answer, others in telling.spelled(answer, different):
        for example in telling.examples(spelled_answer, others):
            yield Spelling(asks, *example)
    if typed((answer,)):
        yield Spelling("", SIGNS, *_TYPED)
