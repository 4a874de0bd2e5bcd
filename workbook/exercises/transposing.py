"""Transposing: the keys that music comes from, and whether it goes up or down to the new key."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from workbook.music.keys import ALL_KEYS, Key
from workbook.music.pitch import interval_name, semitone

EASY = 3
"""The most sharps or flats of the printed key: the hard key is the one to be written."""


def sources(key: Key) -> list[Key]:
    """Easy keys of the same mode on another letter."""
    return [
        other
        for other in ALL_KEYS
        if other.mode == key.mode and abs(other.fifths) <= EASY and other.tonic[0] != key.tonic[0]
    ]


def shift(source: Key, goal: Key, up: bool) -> int:
    """How many octaves, as they are numbered, the new tonic is from the old one's octave."""
    # in one octave, as octaves are numbered, the new tonic lies above or below
    higher = semitone(goal.tonic_in(4)) > semitone(source.tonic_in(4))
    return 0 if up == higher else 1 if up else -1


def _far(source: Key, goal: Key, up: bool) -> bool:
    """Whether ``goal`` lies more than a perfect fifth away on that side."""
    higher = (semitone(goal.tonic_in(4)) - semitone(source.tonic_in(4))) % 12
    return (higher if up else -higher % 12) > 7


def _odd(source: Key, goal: Key, up: bool) -> bool:
    """Whether the interval from key to key is augmented or diminished."""
    low, high = (source, goal) if up else (goal, source)
    at = 4 if semitone(low.tonic_in(4)) < semitone(high.tonic_in(4)) else 5
    return interval_name(low.tonic_in(4), high.tonic_in(at))[0] in "Ad"


def choose(goal: Key, need: Callable[[Key, bool], int], most: int, rng: Random) -> tuple[Key, bool]:
    """A key to transpose from, and whether the new key lies above it.

    Both need ``most`` ledger lines at most, if that can be, by ``need``. The keys are a major,
    minor or perfect interval of a fifth at most apart, if that can be.
    """
    ways = [(source, up) for source in sources(goal) for up in (True, False)]
    rng.shuffle(ways)
    ways.sort(key=lambda way: (_odd(way[0], goal, way[1]), _far(way[0], goal, way[1])))
    fits = (way for way in ways if need(*way) <= most)
    return next(fits, None) or min(ways, key=lambda way: need(*way))
