"""How often a guess is right, for each kind of answer.

Our own estimate, no source: one divided by the number of answers that a student who knows
the form of the answer, but not the answer, would choose from. Where some answers are
much more common than others, the floor is higher.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from statistics import fmean

_FLOORS = {
    "finger": 0.25,  # five fingers; those next to the last one are likelier
    "cross": 0.35,  # most boxes hold a dash, 1, 3 or 4
    "chord": 0.08,  # a root and a quality
    "numeral": 0.20,  # seven degrees, but mostly I, IV and V
    "position": 0.35,  # root, 1st, 2nd, seldom 3rd
    "interval": 0.15,  # numbers 2 to 8
    "quality": 0.30,  # major, minor, diminished, augmented
    "note": 0.10,  # seven letters, and an accidental
    "count": 0.15,  # up to seven
    "major": 0.08,  # fifteen keys, those of few accidentals likelier
    "minor": 0.08,
    "key": 0.08,
    "notes": 0.10,  # a letter by its place, and an accidental
    "keys": 0.10,
    "signature": 0.12,  # how many, sharps or flats
    "word": 0.30,  # relative, parallel, dominant …
    "step": 0.50,  # whole or half
    "skip": 0.50,  # step or skip
    "motion": 0.30,  # stays, half step, whole step, skip
    "common": 0.35,  # none, one, two, three
    "number": 0.25,  # an entry of a list of about four
    "cadence": 0.30,  # four names
    "phrase": 0.50,  # question or answer
    "period": 0.50,  # parallel or contrasting
    "match": 0.40,  # new, or mostly the measure at the same place
    "repair": 0.60,  # most notes are OK
    "figure": 0.20,
    "degree": 0.15,  # 1 to 7
    "tone": 0.50,  # most are chord tones
    "harmony": 0.40,  # two to five chords, the last two given
    "chromatic": 0.25,  # the names are given
    "pattern": 0.30,  # four names
    "name": 0.15,
    "entry": 0.30,  # a list of about five, of which some are known
    "rank": 0.30,  # four places, the ends easy to find
    "term": 0.10,
    "meaning": 0.10,
    "sign": 0.10,
    "beat": 0.25,  # a number of the beat, & between
    "called": 0.20,  # five names, most of them seldom
    "beats": 0.20,
    "time": 0.30,  # three of each kind
    "metre": 0.25,
    "value": 0.25,
    "beams": 0.15,
    "bars": 0.05,  # all of them right
    "triad": 0.10,  # a quality and a position
}
UNKNOWN = 0.10
"""For kinds of answer that are not in the table."""


def guessing_floor(asks: str, choices: int | None = None) -> float:
    """How often a guess is right, 0 to 1, at a blank that asks ``asks``.

    With the number of ``choices`` that are printed for the student, it is at least one of
    them. Raises ValueError if there is only one choice.
    """
    usual = _FLOORS.get(asks, UNKNOWN)
    if choices is None:
        return usual
    if choices < 2:
        raise ValueError("one choice leaves nothing to ask")
    return max(usual, 1 / choices) if asks in _FLOORS else 1 / choices


def floor_of(asked: Iterable[str]) -> float:
    """The floor of an exercise: the mean over what its open blanks ask; 0 if none is open."""
    return _floor_of(tuple(asked))


@lru_cache(1000)
def _floor_of(asked: tuple[str, ...]) -> float:
    return fmean(map(guessing_floor, asked)) if asked else 0.0
