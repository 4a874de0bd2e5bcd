"""The pool of exercises that all students of a build draw from.

In: a request and a number. Out: an exercise. Each exercise is made once and shared, so that
it is engraved once and the marker meets it again.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from random import Random
from typing import NamedTuple

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request
from workbook.exercises.question import question

SIZE = 4
"""Exercises in the pool for one request and one seed, before more are made."""
_KEPT = 3000
"""Exercises kept in memory, about 30 KB each with what is worked out for them once."""


class PoolEntry(NamedTuple):
    """An exercise with digests of its appearance.

    ``music`` is the digest without the blanks, ``task`` with them. Exercises that look the
    same have the same digests. ``question`` is that of what is asked, whatever is filled in as
    help (see ``exercises.question``).
    """

    exercise: Exercise
    music: str
    task: str
    question: str


class ExercisePool:
    """The exercises of one build."""

    def __init__(self) -> None:
        self._made: OrderedDict[tuple[object, ...], Exercise] = OrderedDict()

    def take(self, seed: str, family: str, request: Request, number: int) -> PoolEntry:
        """Exercise ``number`` for a request, with its digests; see ``exercise``."""
        return entry(self.exercise(seed, family, request, number))

    def exercise(self, seed: str, family: str, request: Request, number: int) -> Exercise:
        """Exercise ``number`` for a request; equal requests with one ``seed`` share it.

        Naming and fingering of the request do not affect which exercise is chosen.
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
        name = (seed, asked, number, request.naming, id(request.fingering))
        if name in self._made:
            self._made.move_to_end(name)
        else:
            rng = Random(digest(seed, asked, str(number)))
            self._made[name] = FAMILIES[family].make(request, rng)
            if len(self._made) > _KEPT:
                self._made.popitem(last=False)
        return self._made[name]


def entry(exercise: Exercise) -> PoolEntry:
    """The exercise with the digests of its appearance."""
    return PoolEntry(exercise, *exercise.once(_digests), question(exercise))


def _digests(exercise: Exercise) -> tuple[str, str]:
    signs = exercise.key.fifths if exercise.signed else 0
    label = exercise.label + exercise.listed
    music = digest(repr((exercise.family, label, signs, exercise.music, exercise.figure)))
    return music, digest(music, repr([(b.tag, b.given and b.answer) for b in exercise.blanks]))


def digest(*parts: str) -> str:
    """The SHA-256 digest of ``parts`` in hexadecimal."""
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()
