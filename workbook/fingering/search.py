"""Fingering by search, for what no convention covers.

In: pitches and a hand. Out: the easiest fingerings, the easiest first, found by dynamic
programming over the fingers of neighbouring notes, with the points of ``difficulty``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations, pairwise

from workbook.fingering import difficulty
from workbook.music.pitch import Pitch, semitone

FINGERS = (1, 2, 3, 4, 5)


@dataclass(frozen=True)
class Choice:
    """One way to finger chords in a row: ``fingers`` has for each its digits from low to high;
    ``points`` is its difficulty.
    """

    fingers: tuple[str, ...]
    points: float


def best_chords(
    voicings: Sequence[Sequence[Pitch]], hand: str, how_many: int = 3
) -> tuple[Choice, ...]:
    """The ``how_many`` easiest fingerings of chords in a row, each from low to high.

    A single chord is a row of one. Raises ValueError if there is no chord, or if one has no
    notes or more than a hand has fingers.
    """
    if not voicings or any(not 1 <= len(voicing) <= 5 for voicing in voicings):
        raise ValueError("a hand plays chords of one to five notes")
    keys = [_keys(voicing, hand) for voicing in voicings]
    lines: dict[_Grip, list[_Line]] = {
        grip: [(_grip(keys[0], grip), (grip,))] for grip in combinations(FINGERS, len(keys[0]))
    }
    for before, here in pairwise(keys):
        lines = {
            grip: nsmallest(how_many, _longer(lines, before, here, grip))
            for grip in combinations(FINGERS, len(here))
        }
    found = nsmallest(how_many, (line for kept in lines.values() for line in kept))
    order = 1 if hand == "right" else -1
    return tuple(
        Choice(tuple("".join(map(str, grip[::order])) for grip in line), points)
        for points, line in found
    )


_Grip = tuple[int, ...]
"""The fingers of a chord, from the thumb's side."""
_Line = tuple[float, tuple[_Grip, ...]]
"""Points, and the grips of chords in a row."""


def _longer(
    lines: dict[_Grip, list[_Line]], before: list[int], here: list[int], grip: _Grip
) -> Iterator[_Line]:
    """The lines that end before the chord ``here``, with ``grip`` on it."""
    points = _grip(here, grip)
    for old, kept in lines.items():
        change = _change(before, old, here, grip)
        for so_far, line in kept:
            yield so_far + points + change, (*line, grip)


def _grip(keys: list[int], grip: _Grip) -> float:
    """Points for holding a chord: every neighbour's span, the outer span, weak inner fingers.

    Thumb and fifth finger are comfortable on the black keys of a chord (common practice, no
    source); a chord of a fifth or more has them at its ends.
    """
    points = float(4 in grip[1:-1])
    pairs = [*zip(pairwise(keys), pairwise(grip))]
    if len(keys) > 2:
        pairs.append(((keys[0], keys[-1]), (grip[0], grip[-1])))
    points += sum(difficulty.apart(high - low, a, b) for (low, high), (a, b) in pairs)
    if len(keys) > 1 and keys[-1] - keys[0] >= 6:
        points += 2 * (grip[0] != 1) + 2 * (grip[-1] != 5)
    return points


def _change(before: list[int], old: _Grip, keys: list[int], grip: _Grip) -> float:
    """Points for changing chords: half a point for each held note that changes its finger."""
    held = dict(zip(before, old))
    return 0.5 * sum(held.get(key, finger) != finger for key, finger in zip(keys, grip))


def _keys(notes: Sequence[Pitch], hand: str) -> list[int]:
    """Piano keys from the thumb's side, a left hand's as the right hand's mirror image."""
    keys = [semitone(note) for note in notes]
    return keys if hand == "right" else [difficulty.mirrored(key) for key in reversed(keys)]
