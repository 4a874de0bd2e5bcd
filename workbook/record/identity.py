"""Tells exercises apart, whether they are in a record or about to be set.

In: an item of a workbook record, or an exercise. Out: a digest, equal where the student would
see the same exercise again.
"""

from __future__ import annotations

import hashlib

import msgspec

from workbook.exercises.model import Exercise
from workbook.record.from_exercise import notes_of
from workbook.record.model import Item, Notes


def item_identity(item: Item) -> str:
    """The identity of an item of a record."""
    blanks = [(blank.asks, blank.hand, blank.column, blank.answer) for blank in item.blanks]
    return identity(item.family, item.key, item.prompt, item.notes, blanks)


def identity(
    family: str, key: str, prompt: str, notes: Notes, blanks: list[tuple[str, str, int, str]]
) -> str:
    """The identity of an item with these values; ``blanks`` are (asks, hand, column, answer)."""
    seen = msgspec.json.encode((family, key, prompt, sorted(notes.items()), blanks))
    return hashlib.sha256(seen).hexdigest()[:16]


def exercise_identity(exercise: Exercise) -> str:
    """The identity that the exercise would have as an item of a record."""
    return exercise.once(_identity)


def _identity(exercise: Exercise) -> str:
    blanks = [(blank.asks, blank.hand, blank.column, blank.answer) for blank in exercise.asked]
    return identity(exercise.family, exercise.key_name, exercise.prompt, notes_of(exercise), blanks)
