"""Fingering by search, for what no convention covers.

In: pitches and a hand. Out: the easiest fingerings, easiest first, by dynamic
programming over the fingers of neighbouring notes with the points of
``difficulty``. Where a convention exists it stands; this is for the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations

from workbook.fingering import difficulty
from workbook.music.pitch import Pitch, semitone

FINGERS = (1, 2, 3, 4, 5)


@dataclass(frozen=True)
class Choice:
    """One way to finger something: ``fingers`` a digit a note, and its points.

    For chords there is one string of digits, low to high, for each.
    """

    fingers: tuple[str, ...]
    points: float


def best(notes: Sequence[Pitch], hand: str, how_many: int = 3) -> tuple[Choice, ...]:
    """The ``how_many`` easiest fingerings of a melodic line, one finger a note.

    A note repeated at once keeps its finger. Raises ValueError for an empty line.
    """
    if not notes:
        raise ValueError("a line of no notes has no fingering")
    keys = _keys(notes, hand)
    lines = _start(keys, how_many)
    for index in range(2, len(keys)):
        lines = _extend(lines, keys, index, how_many)
    found = nsmallest(how_many, (line for kept in lines.values() for line in kept))
    return tuple(Choice(tuple(map(str, fingers)), points) for points, fingers in found)


_Line = tuple[float, tuple[int, ...]]


def _keys(notes: Sequence[Pitch], hand: str) -> list[int]:
    keys = [semitone(note) for note in notes]
    return keys if hand == "right" else [difficulty.mirrored(key) for key in keys]


def _start(keys: list[int], how_many: int) -> dict[tuple[int, ...], list[_Line]]:
    """The fingerings of the first two notes (or the only one), by their fingers."""
    if len(keys) == 1:
        return {(f,): [(difficulty.alone(keys[0], f) + f - 1, (f,))] for f in FINGERS}
    low, high = keys[:2]
    lines = {}
    for a in FINGERS:
        first = difficulty.alone(low, a) + difficulty.end(low, a, outer=high < low)
        for b in FINGERS:
            if (a == b) == (low == high):
                last = difficulty.end(high, b, outer=high > low) if len(keys) == 2 else 0
                lines[a, b] = [(first + _add(low, high, a, b) + last, (a, b))]
    return lines


def _add(low: int, high: int, a: int, b: int) -> float:
    """Points for finger ``b`` on ``high`` after ``a`` on ``low``."""
    points = difficulty.alone(high, b)
    if low != high:
        points += difficulty.step(
            difficulty.is_black(low), difficulty.is_black(high), high - low, a, b
        )
    return points


def _extend(
    lines: dict[tuple[int, ...], list[_Line]], keys: list[int], index: int, how_many: int
) -> dict[tuple[int, ...], list[_Line]]:
    """The easiest lines one note longer, by their last two fingers."""
    first, low, high = keys[index - 2 : index + 1]
    last = index == len(keys) - 1
    grown: dict[tuple[int, ...], list[_Line]] = {}
    for b in FINGERS:
        for c in FINGERS:
            if (b == c) != (low == high):
                continue
            points = _add(low, high, b, c)
            if last:
                points += difficulty.end(high, c, outer=high > low)
            found = []
            for a in FINGERS:
                if (a, b) not in lines:
                    continue
                more = points + difficulty.turn(low - first, high - first, a, b, c)
                found += [(so_far + more, fingers + (c,)) for so_far, fingers in lines[a, b]]
            if found:
                grown[b, c] = nsmallest(how_many, found)
    return grown


def best_chords(
    voicings: Sequence[Sequence[Pitch]], hand: str, how_many: int = 3
) -> tuple[Choice, ...]:
    """The ``how_many`` easiest fingerings of chords in a row, each low to high.

    A single chord is a row of one. Raises ValueError for a chord that one hand has
    not enough fingers for, or for no chords.
    """
    if not voicings or any(not 1 <= len(voicing) <= 5 for voicing in voicings):
        raise ValueError("a hand plays chords of one to five notes")
    rows = [_keys(voicing, hand) for voicing in voicings]
    rows = [keys if hand == "right" else keys[::-1] for keys in rows]
    lines: dict[tuple[int, ...], list[tuple[float, tuple[tuple[int, ...], ...]]]] = {}
    for index, keys in enumerate(rows):
        grown = {}
        for shape in combinations(FINGERS, len(keys)):
            points = _grip(keys, shape)
            before = rows[index - 1] if index else None
            grown[shape] = (
                nsmallest(
                    how_many,
                    (
                        (so_far + points + _change(before, old, keys, shape), line + (shape,))
                        for old, kept in lines.items()
                        for so_far, line in kept
                    ),
                )
                if index
                else [(points, (shape,))]
            )
        lines = grown
    found = nsmallest(how_many, (line for kept in lines.values() for line in kept))
    order = 1 if hand == "right" else -1
    return tuple(
        Choice(tuple("".join(map(str, shape[::order])) for shape in line), points)
        for points, line in found
    )


def _grip(keys: list[int], shape: tuple[int, ...]) -> float:
    """Points for holding a chord: every neighbour's span, the outer span, weak inner fingers.

    Thumb and fifth finger lie on black keys without trouble in a chord (common
    practice, no source); a chord of a fifth or more has them at its ends.
    """
    points = float(4 in shape[1:-1])
    pairs = list(zip(keys, keys[1:], shape, shape[1:]))
    if len(keys) > 2:
        pairs.append((keys[0], keys[-1], shape[0], shape[-1]))
    points += sum(difficulty.apart(high - low, a, b) for low, high, a, b in pairs)
    if len(keys) > 1 and keys[-1] - keys[0] >= 6:
        points += 2 * (shape[0] != 1) + 2 * (shape[-1] != 5)
    return points


def _change(
    before: list[int], old: tuple[int, ...], keys: list[int], shape: tuple[int, ...]
) -> float:
    """Points for changing chords: half of one for every held note that changes its finger."""
    held = dict(zip(before, old))
    return 0.5 * sum(held.get(key, finger) != finger for key, finger in zip(keys, shape))
