"""Sequences: a motif that comes again on other degrees of its key, each time as far from the last.

In: a key, how many notes the motif has, how far it moves. Out: degrees of the scale. A
sequence keeps to the key, so its intervals keep their numbers and not their qualities (a
diatonic, or tonal, sequence). What makes a motif singable: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import accumulate, pairwise
from random import Random

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, interval_name
from workbook.music.scales import ascending

MOVES = {"step down": -1, "step up": 1, "third down": -2, "third up": 2}
"""How many degrees a motif moves each time."""
_STEPS = (-3, -2, -1, -1, -1, 1, 1, 1, 2, 3)
"""The moves within a motif, in degrees; steps come more often."""
_WIDEST, _JOINT = 4, 3
"""The range of a motif, and the widest move from one to the next, in degrees."""


@cache
def notes(key: Key, octave: int) -> tuple[Pitch, ...]:
    """Two octaves and a half of the key's scale from the tonic, in minor the natural one."""
    return ascending(key, "natural" if key.minor else "major", octave, 3)[:18]


def sequence(key: Key, count: int, move: int, times: int, rng: Random) -> tuple[int, ...]:
    """A motif of ``count`` notes that comes ``times`` times, ``move`` degrees apart: the degrees
    of all notes above a tonic.

    There is no augmented or diminished step or leap, and the last note is one of the tonic
    triad.
    """
    while True:
        motif = _motif(count, rng)
        if not 0 < abs(move - motif[-1]) <= _JOINT:
            continue
        line = [move * time + degree for time in range(times) for degree in motif]
        lowest = min(line)
        starts = [n for n in range(7) if (line[-1] - lowest + n) % 7 in (0, 2, 4)]
        for start in rng.sample(starts, len(starts)):
            found = tuple(degree - lowest + start for degree in line)
            if _sung(key, found):
                return found


def _motif(count: int, rng: Random) -> tuple[int, ...]:
    """Degrees from the first note; no piece of a scale, and of four notes or more no straight
    line.
    """
    while True:
        moves = rng.choices(_STEPS, k=count - 1)
        motif = tuple(accumulate(moves, initial=0))
        straight = all(move * moves[0] > 0 for move in moves)
        wide = max(motif) - min(motif)
        if len(set(moves)) > 1 and wide <= _WIDEST and not (straight and count > 3):
            return motif


def _sung(key: Key, degrees: Sequence[int]) -> bool:
    line = [notes(key, 4)[degree] for degree in degrees]
    return all(interval_name(here, there)[0] not in "Ad" for here, there in pairwise(line))
