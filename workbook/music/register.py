"""Register: the octaves in which music stays near its staff.

The lines of a treble staff are E4 to F5, those of a bass staff G2 to A3; every second
degree beyond them needs another ledger line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from workbook.music.pitch import Pitch, pitch, staff_degree

CLEFS = {"right": "treble", "left": "bass"}
_LINES = {
    "right": (staff_degree(pitch("E4")), staff_degree(pitch("F5"))),
    "left": (staff_degree(pitch("G2")), staff_degree(pitch("A3"))),
}


def ledger_lines(p: Pitch, hand: str) -> int:
    """How many ledger lines ``p`` needs on the staff of ``hand``."""
    here = staff_degree(p)
    return _lines(here, here, hand)


def most_lines(notes: Iterable[Pitch], hand: str) -> int:
    """How many ledger lines the note that needs the most has on the staff of ``hand``."""
    degrees = [staff_degree(p) for p in notes]
    return _lines(min(degrees), max(degrees), hand)


def octaves(hand: str, music: Callable[[int], Iterable[Pitch]], most: int = 2) -> tuple[int, ...]:
    """The octaves in which no note of ``music(octave)`` needs more than ``most`` ledger lines.

    If there is no such octave, those that need the fewest. ``music`` must be the same music in
    every octave, seven degrees higher than in the one below.
    """
    degrees = [staff_degree(p) for p in music(0)]
    low, high = min(degrees), max(degrees)
    need = {at: _lines(low + 7 * at, high + 7 * at, hand) for at in range(7)}
    limit = max(most, min(need.values()))
    return tuple(at for at, lines in need.items() if lines <= limit)


def _lines(lowest: int, highest: int, hand: str) -> int:
    low, high = _LINES[hand]
    return max((low - lowest) // 2, (highest - high) // 2, 0)
