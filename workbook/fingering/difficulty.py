"""How hard a fingering is: points for what the fingers of one hand have to do.

In: piano keys as semitones above C4, fingers 1 (thumb) to 5, right hand; a left
hand is asked as its mirror image (``mirrored``). Out: points, 0 and up.

Spans and rules: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio and
P. Desain, "An Ergonomic Model of Keyboard Fingering for Melodic Fragments",
Music Perception 14/4, 1997, 341-382; the figures are from memory. Five rules of
our own, from common practice, bring it nearer to what is taught (``OWN``):
their weights were fitted to the fingering tables that come along.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple


class Span(NamedTuple):
    """Semitones from the lower finger's key up to the higher finger's; negative is crossed.

    Between ``low`` and ``high`` ends: relaxed, then comfortable, then practical.
    """

    practical_low: int
    comfortable_low: int
    relaxed_low: int
    relaxed_high: int
    comfortable_high: int
    practical_high: int


_UP = {
    (1, 2): Span(-5, -3, 1, 5, 8, 10),
    (1, 3): Span(-4, -2, 3, 7, 10, 12),
    (1, 4): Span(-3, -1, 5, 9, 12, 14),
    (1, 5): Span(-1, 1, 7, 10, 13, 15),
    (2, 3): Span(1, 1, 1, 2, 3, 5),
    (2, 4): Span(1, 1, 3, 4, 5, 7),
    (2, 5): Span(2, 2, 5, 6, 8, 10),
    (3, 4): Span(1, 1, 1, 2, 2, 4),
    (3, 5): Span(1, 1, 3, 4, 5, 7),
    (4, 5): Span(1, 1, 1, 2, 3, 5),
}
SPANS = _UP | {(b, a): Span(*(-n for n in reversed(span))) for (a, b), span in _UP.items()}
"""The span from the first finger's key to the second's, for every two fingers."""

OWN = {
    # Kelley, "Piano Arpeggio Fingerings" (robertkelleyphd.com): the fifth finger only
    # where a line starts, stops or turns, the thumb on white keys.
    "fifth finger inside a run": 7,
    "thumb on black": 14,
    # Common practice, no source.
    "thumb passes": 12,
    "beyond the practical span": 8,
    "wrong end of the hand": 1,
    "thumb first on black": 4,
    "fifth finger last on black": 11,
}
"""Points of the rules that are not in the model of 1997."""


def is_black(key: int) -> bool:
    return key % 12 in {1, 3, 6, 8, 10}


def mirrored(key: int) -> int:
    """The piano key that lies as far on the other side of D: black stays black."""
    return 4 - key


def alone(key: int, finger: int) -> float:
    """Points for a finger on a key: weak-finger and thumb-on-black rules."""
    points = float(finger >= 4)
    if finger == 1 and is_black(key):
        points += 1 + OWN["thumb on black"]
    return points


def apart(span: int, a: int, b: int) -> float:
    """Points for two fingers ``span`` semitones apart: stretch, small- and large-span rules."""
    limits = SPANS[a, b]
    each = 1 if 1 in (a, b) else 2
    beyond = max(limits.practical_low - span, span - limits.practical_high, 0)
    stretched = max(limits.comfortable_low - span, span - limits.comfortable_high, 0)
    unrelaxed = max(limits.relaxed_low - span, span - limits.relaxed_high, 0)
    return OWN["beyond the practical span"] * beyond + 2 * stretched + each * unrelaxed


@cache
def step(low_black: bool, high_black: bool, span: int, a: int, b: int) -> float:
    """Points for finger ``a`` and then ``b``, ``span`` semitones away, on such keys.

    Besides the span: three-to-four, four-on-black, thumb- and five-on-black with a
    white neighbour, thumb-passing.
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
def turn(to_middle: int, to_last: int, a: int, b: int, c: int) -> float:
    """Points for three fingers in a row: position-change and three-four-five rules.

    ``to_middle`` and ``to_last`` are semitones from the first key.
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
    """Points for the finger at an end of a line: its top, if ``outer``, or its bottom.

    On a white key the hand's own end is best there, the fifth finger or the thumb;
    on a black one neither is.
    """
    if not is_black(key):
        return OWN["wrong end of the hand"] * (5 - finger if outer else finger - 1)
    if outer:
        return OWN["fifth finger last on black"] * (finger == 5)
    return OWN["thumb first on black"] * (finger == 1)
