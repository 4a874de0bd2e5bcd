"""The pool of exercises that all students of a build draw from.

In: a request and a number. Out: the exercise, each made once for all who are dealt it:
what is engraved for one student is there for the next, and comes up again when marking.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from random import Random
from typing import NamedTuple

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request

SIZE = 4
"""Exercises in the pool for one request under one word, before more are made."""
_KEPT = 3000
"""Exercises kept at hand, some 10 KB each."""


class PoolEntry(NamedTuple):
    """An exercise, and names for what is seen of it: ``music`` before anything is asked,
    ``task`` with its blanks. Exercises that look alike have the same names.
    """

    exercise: Exercise
    music: str
    task: str


class ExercisePool:
    """The exercises of one build."""

    def __init__(self) -> None:
        self._made: OrderedDict[tuple[object, ...], PoolEntry] = OrderedDict()

    def take(self, word: str, family: str, request: Request, number: int) -> PoolEntry:
        """Exercise ``number`` of those for all who ask for the same under ``word``.

        The names of notes and steps, and the table of fingerings, make no other one of it.
        """
        asked = repr(
            (
                family,
                request.key.ascii,
                request.hand,
                request.ask,
                request.given,
                request.ledger_lines,
                sorted(request.settings.items()),
            )
        )
        name = (word, asked, number, request.naming, id(request.fingering))
        if name in self._made:
            self._made.move_to_end(name)
        else:
            rng = Random(digest(word, asked, str(number)))
            self._made[name] = entry(FAMILIES[family].make(request, rng))
            if len(self._made) > _KEPT:
                self._made.popitem(last=False)
        return self._made[name]


def entry(exercise: Exercise) -> PoolEntry:
    """The exercise with the names of what is seen of it."""
    signs = exercise.key.fifths if exercise.signed else 0
    music = digest(repr((exercise.family, exercise.label, signs, exercise.staves, exercise.figure)))
    return PoolEntry(
        exercise,
        music,
        digest(music, repr([(b.tag, b.given and b.answer) for b in exercise.blanks])),
    )


def digest(*parts: str) -> str:
    """A name for its parts."""
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()
