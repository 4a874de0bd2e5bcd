"""How hard a stretch is: points for the distance between two fingers of one hand.

In: semitones, fingers 1 (thumb) to 5, for the right hand; a left hand is its mirror image
(``mirrored``). Out: points, 0 and up.

Spans and rules: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio and P. Desain, "An
Ergonomic Model of Keyboard Fingering for Melodic Fragments", Music Perception 14/4, 1997,
341-382; the figures are from memory.
"""

from __future__ import annotations

from typing import NamedTuple

BEYOND = 8
"""Points for each semitone beyond the practical span: not in the model of 1997, which allows
no such span; common practice, no source. Fitted to the fingering tables that are shipped."""


class Span(NamedTuple):
    """Limits of two fingers, in semitones from the lower finger's key up to the higher
    finger's, negative when they cross: the relaxed span lies within the comfortable one, and
    that within the practical one.
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


def mirrored(key: int) -> int:
    """The piano key as far on the other side of D4; a black key stays black."""
    return 4 - key


def apart(span: int, a: int, b: int) -> float:
    """Points for two fingers ``span`` semitones apart: the stretch, small-span and large-span
    rules.
    """
    limits = SPANS[a, b]
    each = 1 if 1 in (a, b) else 2
    beyond = max(limits.practical_low - span, span - limits.practical_high, 0)
    stretched = max(limits.comfortable_low - span, span - limits.comfortable_high, 0)
    unrelaxed = max(limits.relaxed_low - span, span - limits.relaxed_high, 0)
    return BEYOND * beyond + 2 * stretched + each * unrelaxed
