"""Dyads: two notes of a key at a chosen interval, which the interval families ask about.

In: a key, and which intervals may occur. Out: dyads, as functions of the octave; the staff of
melodic ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random

from workbook.exercises.interval_names import ALTERED, NATURAL
from workbook.exercises.model import Event, Staff
from workbook.exercises.registers import Columns
from workbook.exercises.settings import Setting
from workbook.exercises.spellings import best, key_notes, moved, ranked
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, interval_name
from workbook.music.register import CLEFS
from workbook.music.scales import ascending

QUALITIES = Setting(
    ("natural", "all"),
    "natural",
    skill=True,
    about="`natural` is major, minor and perfect; `all` has augmented and diminished ones too",
)
COMPOUND = "compound"
SIZE = Setting(
    ("to the octave", COMPOUND),
    "to the octave",
    skill=True,
    about="`compound` is from the ninth to the twelfth",
)
_NUMBERS = {"to the octave": range(2, 9), COMPOUND: range(9, 13)}


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
    key: Key,
    count: int,
    qualities: str,
    below: bool,
    rng: Random,
    tonic: bool = False,
    size: str = "to the octave",
) -> list[Dyad]:
    """``count`` dyads of numbers as different as can be, of a ``size`` as in ``SIZE``.

    With the ``qualities`` "all", two are augmented or diminished. The others belong to the
    key, except half of those on the ``tonic``, which would otherwise be few. Double sharps
    and flats are avoided where there are others.
    """
    numbers = _numbers(size, count, rng)
    changed = [n for n in numbers if _choices(key, _names(n, ALTERED), below, tonic, True)]
    altered = rng.sample(changed, 2) if qualities == "all" else []
    found = []
    for number in numbers:
        free = number in altered or (tonic and rng.random() < 0.5)
        names = _names(number, ALTERED if number in altered else NATURAL)
        found.append(rng.choice(_choices(key, names, below, tonic, free)))
    return found


def diatonic(key: Key, count: int, below: bool, size: str, rng: Random) -> list[Dyad]:
    """``count`` dyads of numbers as different as can be, each of two notes of the major scale
    or of the natural minor, whatever their quality.
    """
    run = ascending(key, "natural" if key.minor else "major", 4, 3)
    found = []
    for number in _numbers(size, count, rng):
        start = rng.randrange(7)
        low, high = run[start], run[start + int(number) - 1]
        found.append(Dyad(high if below else low, interval_name(low, high), below))
    return found


def _numbers(size: str, count: int, rng: Random) -> list[str]:
    numbers = [str(number) for number in _NUMBERS[size]]
    found: list[str] = []
    while len(found) < count:
        found += rng.sample(numbers, min(count - len(found), len(numbers)))
    return found


def melodic(side: str, columns: Columns, falls: Sequence[bool]) -> Staff:
    """Each interval as two notes of a measure, the lower first unless it falls."""
    events = []
    for index, (notes, down) in enumerate(zip(columns, falls)):
        first, second = notes[::-1] if down else notes
        last = "|." if index == len(columns) - 1 else "|"
        events += [Event((first,), CLEFS[side], "1"), Event((second,), CLEFS[side], "1", last)]
    return Staff(side, tuple(events))


def _names(number: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the names that have the number, or, of a compound one, an octave less."""
    simple = str(int(number) - 7) if int(number) > 8 else number
    return tuple(name[0] + number for name in names if name[1:] == simple)


@lru_cache(maxsize=4096)
def _choices(key: Key, names: tuple[str, ...], below: bool, tonic: bool, free: bool) -> list[Dyad]:
    """The dyads to choose from; if ``free``, they may have a note foreign to the key.

    The list is empty where all would need more than a double sharp or flat.
    """
    bases = [key.tonic_in(4)] if tonic else key_notes(key)
    dyads = [Dyad(base, name, below) for base in bases for name in names]
    choices = ranked(key, dyads, lambda dyad: dyad.notes(4), own=not free)
    return best(choices) if choices else []
