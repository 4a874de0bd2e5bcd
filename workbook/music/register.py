"""Register: which octave keeps music near its staff.

A treble staff's lines run from E4 to F5, a bass staff's from G2 to A3;
a ledger line is needed for every second degree beyond.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from workbook.music.pitch import Pitch, pitch, staff_degree

CLEFS = {"right": "treble", "left": "bass"}
_LINES = {"right": (staff_degree(pitch("E4")), staff_degree(pitch("F5"))),
          "left": (staff_degree(pitch("G2")), staff_degree(pitch("A3")))}


def ledger_lines(p: Pitch, hand: str) -> int:
    """Ledger lines that ``p`` needs on the staff of ``hand``."""
    low, high = _LINES[hand]
    here = staff_degree(p)
    return max((low - here) // 2, (here - high) // 2, 0)


def octaves(hand: str, music: Callable[[int], Iterable[Pitch]], most: int = 2) -> tuple[int, ...]:
    """The octaves in which no note of ``music(octave)`` needs more than ``most`` ledger lines.

    Where there is none, the octaves that need the fewest.
    """
    need = {at: max(ledger_lines(p, hand) for p in music(at)) for at in range(0, 7)}
    limit = max(most, min(need.values()))
    return tuple(at for at, lines in need.items() if lines <= limit)
