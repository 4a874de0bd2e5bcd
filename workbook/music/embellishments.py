"""Non-chord tones: what a melody note is over its chord, by how it is reached and left.

The kinds and their definitions are those of Open Music Theory, "Embellishing tones", from
memory; an appoggiatura is left by a step in the direction opposite to its leap, and an escape
tone the reverse.
"""

from __future__ import annotations

from functools import cache

from workbook.music.chords import Harmony
from workbook.music.pitch import Pitch, staff_degree

PASSING, NEIGHBOR, SUSPENSION = "passing", "neighbor", "suspension"
APPOGGIATURA, ESCAPE, ANTICIPATION = "appoggiatura", "escape", "anticipation"
KINDS = (PASSING, NEIGHBOR, SUSPENSION, APPOGGIATURA, ESCAPE, ANTICIPATION)
ACCENTED = (SUSPENSION, APPOGGIATURA)
"""Kinds that stand where their chord begins; the others stand after a chord tone."""


@cache
def contains(chord: Harmony, p: Pitch) -> bool:
    """Whether the note, in any octave, is one of the chord's."""
    return (p.step, p.signs) in {(tone.step, tone.signs) for tone in chord.tones(4)}


def embellishment(before: Pitch, here: Pitch, after: Pitch) -> str | None:
    """One of ``KINDS`` for a note between two others, which is foreign to its chord.

    None for a note that is reached and left as none of them is.
    """
    come = staff_degree(here) - staff_degree(before)
    go = staff_degree(after) - staff_degree(here)
    if here == before:
        return SUSPENSION if go == -1 else None
    if here == after:
        return ANTICIPATION if abs(come) == 1 else None
    if not come or not go:  # a chromatic half step
        return None
    if abs(come) == 1 and abs(go) == 1:
        if come == go:
            return PASSING
        return NEIGHBOR if before == after else None
    if come * go > 0:
        return None
    if abs(go) == 1:
        return APPOGGIATURA
    return ESCAPE if abs(come) == 1 else None
