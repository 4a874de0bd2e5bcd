"""Dyads: two notes of a key at a chosen interval, which the interval families ask about.

In: a key and which intervals may come. Out: dyads, as functions of the octave.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from random import Random

from workbook.exercises.interval_names import ALTERED, NATURAL
from workbook.exercises.settings import Setting
from workbook.exercises.spellings import best, key_notes, moved, ranked
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above

QUALITIES = Setting(
    ("natural", "all"),
    "natural",
    skill=True,
    about="`natural` is major, minor and perfect; `all` has augmented and diminished ones too",
)


@dataclass(frozen=True)
class Dyad:
    """The note ``base`` of a key, and another at ``interval`` above or below it."""

    base: Pitch
    interval: str
    below: bool = False

    def notes(self, octave: int) -> tuple[Pitch, ...]:
        """The notes low to high, in ``octave`` if the base is in octave 4."""
        base = moved(self.base, octave - 4)
        if self.below:
            return above(base, f"-{self.interval}"), base
        return base, above(base, self.interval)


def dyads(
    key: Key, count: int, qualities: str, below: bool, rng: Random, tonic: bool = False
) -> list[Dyad]:
    """``count`` dyads of different numbers, from the second to the octave.

    With the ``qualities`` "all", two are augmented or diminished. The others belong to the
    key, except half of those on the ``tonic``, which would otherwise be few. Double sharps
    and flats are avoided where there are others.
    """
    numbers = rng.sample("2345678", count)
    changed = [n for n in numbers if _choices(key, _names(n, ALTERED), below, tonic, True)]
    altered = rng.sample(changed, 2) if qualities == "all" else []
    found = []
    for number in numbers:
        free = number in altered or (tonic and rng.random() < 0.5)
        names = _names(number, ALTERED if number in altered else NATURAL)
        found.append(rng.choice(_choices(key, names, below, tonic, free)))
    return found


def _names(number: str, names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if name[1:] == number)


@lru_cache(maxsize=4096)
def _choices(key: Key, names: tuple[str, ...], below: bool, tonic: bool, free: bool) -> list[Dyad]:
    """The dyads to choose from; if ``free``, they may have a note foreign to the key.

    The list is empty where all would need more than a double sharp or flat.
    """
    bases = [key.tonic_in(4)] if tonic else key_notes(key)
    dyads = [Dyad(base, name, below) for base in bases for name in names]
    choices = ranked(key, dyads, lambda dyad: dyad.notes(4), own=not free)
    return best(choices) if choices else []
