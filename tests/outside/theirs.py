"""Our pitches and keys as music21 reads them, and exercises to check.

music21 is a general-purpose music analysis library.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from random import Random

from music21 import pitch as m21pitch

from workbook.exercises import FAMILIES, Exercise, Request
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS
from workbook.music.pitch import scientific


@lru_cache(maxsize=None)
def theirs(p) -> m21pitch.Pitch:
    """A pitch as music21's, by way of its scientific name."""
    name = scientific(p)
    return m21pitch.Pitch(name[0] + name[1:].replace("b", "-"))


def spelled(p: m21pitch.Pitch) -> str:
    """music21's pitch as English pages print it, without octave."""
    return p.name.replace("##", "𝄪").replace("#", "♯").replace("--", "𝄫").replace("-", "♭")


def theirs_key(exercise: Exercise) -> tuple[str, str]:
    """Tonic and mode as music21 writes them."""
    return exercise.key.tonic.replace("b", "-"), exercise.key.mode


def sample(family: str, seeds: int = 1) -> Iterator[Exercise]:
    """The family in every key and for every hand, each setting with each of its values."""
    kind = FAMILIES[family]
    choices = [{name: value} for name, values in kind.settings.items() for value in values]
    hands = HANDS if kind.by else ("right",)
    for key in ALL_KEYS:
        for hand in hands:
            for settings in choices or [{}]:
                for seed in range(seeds):
                    yield kind.make(Request(key, hand, kind.asks, 0, 2, settings),
                                    Random(f"{key.ascii} {seed}"))
