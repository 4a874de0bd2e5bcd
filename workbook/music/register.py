"""Register: the octaves in which music stays near its staff and in the reach of its hand.

The lines of a treble staff are E4 to F5, those of a bass staff G2 to A3; every second
degree beyond them needs another ledger line. Where music begins is bounded by its lowest note:
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from workbook.music.pitch import Pitch, pitch, staff_degree

Music = Callable[[int], Sequence[Sequence[Pitch]]]
"""The columns of some music for an octave."""
CLEFS = {"right": "treble", "left": "bass"}
CLEF_SIDES = {clef: hand for hand, clef in CLEFS.items()}
MOST_LINES = 3
"""Ledger lines beyond which a run changes its clef or has an octave line."""
SPARSE = 3
"""The most notes to an octave for which a run still keeps its clef."""


def _degrees(low: str, high: str) -> range:
    return range(staff_degree(pitch(low)), staff_degree(pitch(high)) + 1)


_LINES = {"right": _degrees("E4", "F5"), "left": _degrees("G2", "A3")}
_LOWEST = {
    "right": (
        _degrees("G3", "B4"),
        _degrees("G3", "F4"),
        _degrees("E3", "D4"),
        _degrees("C3", "B3"),
    ),
    "left": (
        _degrees("E2", "B3"),
        _degrees("B1", "A2"),
        _degrees("B1", "A2"),
        _degrees("C2", "B2"),
    ),
    "both": (
        _degrees("G3", "B4"),
        _degrees("E3", "D4"),
        _degrees("C3", "B3"),
        _degrees("C3", "B3"),
    ),
}
"""The lowest note of music of up to one, two, three and four octaves: of the right hand, of the
left, and of the right if the left plays the same an octave lower."""
_SPARSE_BOTH = _degrees("D3", "C4")
_APART = {1: _degrees("G3", "B4"), 2: _degrees("E3", "F4")}
"""The right hand's lowest note of one and of two octaves if hands are not an octave apart."""
_CHORDS = {
    "right": _degrees("G3", "A4"),
    "left": _degrees("F2", "A3"),
    "both": _degrees("F3", "A4"),
}
"""The lowest note of chords in one hand: close chords further down are not clear."""
LOWEST_CHORD = staff_degree(pitch("F2"))
_NARROW = 13
"""Degrees from the lowest to the highest note of what counts as one octave: chords around the
tonic may go beyond it."""


def ledger_lines(p: Pitch, hand: str) -> int:
    """How many ledger lines ``p`` needs on the staff of ``hand``."""
    here = staff_degree(p)
    return lines_for(here, here, hand)


def most_lines(notes: Iterable[Pitch], hand: str) -> int:
    """How many ledger lines the note that needs the most has on the staff of ``hand``."""
    degrees = [staff_degree(p) for p in notes]
    return lines_for(min(degrees), max(degrees), hand)


def lines_for(lowest: int, highest: int, hand: str) -> int:
    """How many ledger lines notes from one degree to another need on the staff of ``hand``."""
    lines = _LINES[hand]
    return max((lines[0] - lowest) // 2, (highest - lines[-1]) // 2, 0)


def octaves(hand: str, music: Callable[[int], Iterable[Pitch]], most: int = 2) -> tuple[int, ...]:
    """The octaves in which no note of ``music(octave)`` needs more than ``most`` ledger lines.

    If there is no such octave, those that need the fewest. ``music`` must be the same music in
    every octave, seven degrees higher than in the one below.
    """
    degrees = [staff_degree(p) for p in music(0)]
    low, high = min(degrees), max(degrees)
    need = {at: lines_for(low + 7 * at, high + 7 * at, hand) for at in range(7)}
    limit = max(most, min(need.values()))
    return tuple(at for at, lines in need.items() if lines <= limit)


def places(hand: str, music: Music, most: int = 2) -> tuple[int, ...]:
    """The octaves for the right hand, the left, or for the right if ``both`` play the same.

    Hands together stand an octave apart. Of the octaves in which the lowest note of
    ``music(octave)`` lies where such music begins, they are those with ``most`` ledger lines
    at most, or else those with the fewest. ``music`` is as in ``octaves``, in columns.
    """
    need = _need(hand, music)
    limit = max(most, min(need.values()))
    return tuple(at for at, lines in need.items() if lines <= limit)


def fewest_lines(hand: str, music: Music) -> int:
    """How many ledger lines ``music`` needs in the best of its ``places``."""
    return min(_need(hand, music).values())


def apart(right: Callable[[int], Pitch], octaves: int) -> tuple[int, ...]:
    """The octaves for music of one or two ``octaves`` in hands that are not an octave apart, by
    the right hand's lowest note.
    """
    return tuple(at for at in range(7) if staff_degree(right(at)) in _APART[octaves])


def _need(hand: str, music: Music) -> dict[int, int]:
    """The ledger lines that music needs in each octave in which it may begin."""
    columns = music(0)
    degrees = {staff_degree(p) for column in columns for p in column}
    low, high = min(degrees), max(degrees)
    if any(len(column) > 1 for column in columns):
        begin = _CHORDS[hand]
    else:
        count = 1 if high - low <= _NARROW else -(-(high - low) // 7)
        begin = _LOWEST[hand][count - 1]
        if hand == "both" and count == 2 and not dense(degrees):
            begin = _SPARSE_BOTH
    sides = [(hand, 0)] if hand != "both" else [("right", 0), ("left", -7)]
    return {
        at: max(lines_for(low + 7 * at + down, high + 7 * at + down, side) for side, down in sides)
        for at in range(7)
        if low + 7 * at in begin
    }


def dense(degrees: Iterable[int]) -> bool:
    """Whether a run has so many notes to an octave that it may change its clef there."""
    found = set(degrees)
    return sum(degree < min(found) + 7 for degree in found) > SPARSE
