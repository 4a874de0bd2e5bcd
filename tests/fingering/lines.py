"""Fingering of melodic lines by search, against which the tables of fingerings are checked.

In: pitches and a hand. Out: the easiest fingerings, the easiest first, found by dynamic
programming over the fingers of neighbouring notes.

Rules: those of Parncutt, Sloboda, Clarke, Raekallio and Desain (1997), which
``workbook.fingering.difficulty`` cites in full, from memory, and some of our own (``OWN``),
whose weights were fitted to the tables.
"""

from collections.abc import Sequence
from functools import cache
from heapq import nsmallest
from typing import NamedTuple

from workbook.fingering.difficulty import SPANS, apart, mirrored
from workbook.music.pitch import Pitch, semitone

FINGERS = (1, 2, 3, 4, 5)

OWN = {
    # Kelley, "Piano Arpeggio Fingerings" (robertkelleyphd.com): the fifth finger only
    # where a line starts, stops or turns, the thumb on white keys.
    "fifth finger inside a run": 7,
    "thumb on black": 14,
    # Common practice, no source.
    "thumb passes": 12,
    "wrong end of the hand": 1,
    "thumb first on black": 4,
    "fifth finger last on black": 11,
}
"""Points for the rules that are not in the model of 1997."""


class Choice(NamedTuple):
    """One way to finger a line: a digit a note, and its points."""

    fingers: tuple[str, ...]
    points: float


def is_black(key: int) -> bool:
    """Whether a piano key is black."""
    return key % 12 in {1, 3, 6, 8, 10}


def alone(key: int, finger: int) -> float:
    """Points for a finger on a key: the weak-finger and thumb-on-black rules."""
    points = float(finger >= 4)
    if finger == 1 and is_black(key):
        points += 1 + OWN["thumb on black"]
    return points


@cache
def step(low_black: bool, high_black: bool, span: int, a: int, b: int) -> float:
    """Points for finger ``a`` and then ``b``, ``span`` semitones away, on black or white keys.

    Besides those of the span: the three-to-four and four-on-black rules, thumb or fifth finger
    on black next to a white key, and thumb-passing.
    """
    points = apart(span, a, b) + ((a, b) == (3, 4))
    blacks = {a: low_black, b: high_black}
    if set(blacks) == {3, 4} and blacks[4] and not blacks[3]:
        points += 1
    for finger in (1, 5):
        if finger in blacks and blacks[finger] and not blacks[a + b - finger]:
            points += 2
    if 1 in blacks and (span < 0) == (a == 1):  # the thumb lies above the other finger
        other = a + b - 1
        points += OWN["thumb passes"]
        points += 1 if blacks[1] == blacks[other] else 3 * blacks[1]
    return points


@cache
def position_change(to_middle: int, to_last: int, a: int, b: int, c: int) -> float:
    """Points for three fingers in a row: the position-change and three-four-five rules.

    ``to_middle`` and ``to_last`` are semitones from the first key to the others.
    """
    points = float({a, b, c} == {3, 4, 5})
    between = min(0, to_last) < to_middle < max(0, to_last)
    if b == 5 and between:
        points += OWN["fifth finger inside a run"]
    if a == c:
        return points + (to_last != 0)
    limits = SPANS[a, c]
    size = max(limits.comfortable_low - to_last, to_last - limits.comfortable_high, 0)
    if size:
        beyond = not limits.practical_low <= to_last <= limits.practical_high
        points += size + (2 if b == 1 and between and beyond else 1)
    return points


def end(key: int, finger: int, outer: bool) -> float:
    """Points for the finger on the first or last note of a line; ``outer`` if it is the higher
    end.

    On a white key the finger at that end of the hand is best, the fifth finger or the thumb;
    on a black key neither is.
    """
    if not is_black(key):
        return OWN["wrong end of the hand"] * (5 - finger if outer else finger - 1)
    if outer:
        return OWN["fifth finger last on black"] * (finger == 5)
    return OWN["thumb first on black"] * (finger == 1)


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
    return keys if hand == "right" else [mirrored(key) for key in keys]


def _start(keys: list[int], how_many: int) -> dict[tuple[int, ...], list[_Line]]:
    """The fingerings of the first two notes (or the only one), by their fingers."""
    if len(keys) == 1:
        return {(f,): [(alone(keys[0], f) + f - 1, (f,))] for f in FINGERS}
    low, high = keys[:2]
    lines = {}
    for a in FINGERS:
        first = alone(low, a) + end(low, a, outer=high < low)
        for b in FINGERS:
            if (a == b) == (low == high):
                last = end(high, b, outer=high > low) if len(keys) == 2 else 0
                lines[a, b] = [(first + _add(low, high, a, b) + last, (a, b))]
    return lines


def _add(low: int, high: int, a: int, b: int) -> float:
    """Points for finger ``b`` on ``high`` after ``a`` on ``low``."""
    points = alone(high, b)
    if low != high:
        points += step(is_black(low), is_black(high), high - low, a, b)
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
                points += end(high, c, outer=high > low)
            found = []
            for a in FINGERS:
                if (a, b) not in lines:
                    continue
                more = points + position_change(low - first, high - first, a, b, c)
                found += [(so_far + more, (*fingers, c)) for so_far, fingers in lines[a, b]]
            if found:
                grown[b, c] = nsmallest(how_many, found)
    return grown
