"""Two notes of a key at a chosen interval: what interval families ask about.

In: a key, which intervals may come. Out: dyads as functions of the octave.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from random import Random

from workbook.exercises import clefs
from workbook.exercises.interval_names import ALTERED, NATURAL
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above

QUALITIES = ("natural", "all")
"""Major, minor and perfect intervals; augmented and diminished ones with them."""


@dataclass(frozen=True)
class Dyad:
    """The note ``base`` of a key and another at ``interval`` above it, or below."""

    base: Pitch
    interval: str
    below: bool = False

    def notes(self, octave: int) -> tuple[Pitch, ...]:
        """Low to high, ``octave`` for a base of octave 4."""
        base = clefs.moved(self.base, octave - 4)
        if self.below:
            return above(base, f"-{self.interval}"), base
        return base, above(base, self.interval)


def dyads(
    key: Key, count: int, qualities: str, below: bool, rng: Random, tonic: bool = False
) -> list[Dyad]:
    """``count`` dyads, each of another number from the second to the octave.

    With the ``qualities`` "all", two are augmented or diminished. The others are of
    the key, but for half of those on the ``tonic``, which otherwise would be few.
    Double sharps and flats are avoided where others are to be had.
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
    """The dyads to choose from; ``free`` ones may have a note foreign to the key.

    None where all would need more than a double sharp or flat.
    """
    bases = [key.tonic_in(4)] if tonic else clefs.key_notes(key)
    dyads = [Dyad(base, name, below) for base in bases for name in names]
    ranked = clefs.ranked(key, dyads, lambda dyad: dyad.notes(4), own=not free)
    return clefs.best(ranked) if ranked else []
