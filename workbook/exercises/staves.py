"""Staves: columns of notes with their clefs, octave lines and bar lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import pairwise, product

from workbook.exercises.model import Event, Staff
from workbook.exercises.registers import Columns
from workbook.music.pitch import Pitch, staff_degree
from workbook.music.register import CLEF_SIDES, CLEFS, MOST_LINES, dense, lines_for, most_lines

_WAYS = (("treble", 0), ("bass", 0), ("treble", 1), ("treble", 2), ("bass", -1))
"""Clefs and octave lines, as in ``Event.ottava``."""
_TOO_FAR, _CHANGE, _OCTAVE_LINE, _OTHER_CLEF, _CHORD_CHANGE = 100, 10, 12, 1, 3
"""Points against a ledger line too many, a change from octave to octave, each octave of an
octave line, the other hand's clef, and a change between chords; ledger lines count a quarter
of their square. The figures are ours."""


def printed_staves(
    sides: Mapping[str, Columns],
    value: str,
    bars: Mapping[int, str],
    octave: bool = False,
    climbing: bool = False,
) -> tuple[Staff, ...]:
    """A staff for each side; ``bars`` says what follows a column, as in ``Event.after``.

    A run of more than one ``octave`` that needs too many ledger lines changes into the other
    hand's clef, as piano music does, or has an octave line, and does so where an octave of the
    run begins or ends, and not for the last note of a line of music. Runs of few notes to an
    octave, and all else, keep their clef; but chords that are ``climbing`` beyond the ledger
    lines of their clef change into the other hand's.
    """
    built = []
    for side, columns in sides.items():
        ways = [(CLEFS[side], 0)] * len(columns)
        if octave:
            ways = _ways(side, columns, bars)
        elif climbing:
            ways = [(clef, 0) for clef in _chord_clefs(side, columns)]
        built.append(
            Staff(
                side,
                tuple(
                    Event(column, clef, value, bars.get(index, ""), ottava=line)
                    for index, (column, (clef, line)) in enumerate(zip(columns, ways))
                ),
            )
        )
    return tuple(built)


def _ways(side: str, columns: Columns, bars: Mapping[int, str]) -> list[tuple[str, int]]:
    """The clef and octave line of each column of a run."""
    degrees = [staff_degree(p) for (p,) in columns]
    low, high = min(degrees), max(degrees)
    if not dense(degrees) and high - low <= 14:
        return [(CLEFS[side], 0)] * len(columns)
    octaves = _by_octave(side, low, -(-(high - low) // 7))
    ways: list[tuple[str, int]] = []
    for column, degree in enumerate(degrees):
        own = octaves[min((degree - low) // 7, len(octaves) - 1)]
        ways.append(ways[-1] if ways and bars.get(column) == "break" else own)
    return ways


def _chord_clefs(side: str, columns: Columns) -> tuple[str, ...]:
    """The clef of each chord: the hand's own, unless one needs more than MOST_LINES there."""
    if max(most_lines(column, side) for column in columns) <= MOST_LINES:
        return (CLEFS[side],) * len(columns)

    def points(clefs: tuple[str, ...]) -> float:
        found = 0.0
        for clef, column in zip(clefs, columns):
            lines = most_lines(column, CLEF_SIDES[clef])
            found += lines * lines / 4 + _TOO_FAR * max(0, lines - MOST_LINES)
            found += _OTHER_CLEF * (clef != CLEFS[side])
        return found + _CHORD_CHANGE * sum(a != b for a, b in pairwise(clefs))

    return min(product(CLEFS.values(), repeat=len(columns)), key=points)


@lru_cache(maxsize=256)
def _by_octave(side: str, low: int, count: int) -> tuple[tuple[str, int], ...]:
    """The clef and octave line of each octave of a run of ``count`` octaves from a degree."""

    def points(ways: tuple[tuple[str, int], ...]) -> float:
        found = 0.0
        for number, (clef, line) in enumerate(ways):
            bottom = low + 7 * (number - line)
            lines = lines_for(bottom, bottom + 6 + (number == count - 1), CLEF_SIDES[clef])
            found += lines * lines / 4 + _TOO_FAR * max(0, lines - MOST_LINES)
            found += _OCTAVE_LINE * abs(line) + _OTHER_CLEF * (clef != CLEFS[side])
        return found + _CHANGE * sum(a != b for a, b in pairwise(ways))

    return min(product(_WAYS, repeat=count), key=points)


def written_staves(
    sides: Mapping[str, Columns],
    bars: Mapping[int, str],
    given: Iterable[int] = (),
    part: slice = slice(None),
) -> tuple[Staff, ...]:
    """Staves of whole notes that the student writes, all but the ``given`` columns.

    ``part`` says which notes of each column, low to high, are written; the others are
    printed.
    """
    shown = set(given)
    return tuple(
        Staff(
            side,
            tuple(
                Event(
                    column,
                    CLEFS[side],
                    "1",
                    bars.get(index, ""),
                    () if index in shown else column[part],
                )
                for index, column in enumerate(columns)
            ),
        )
        for side, columns in sides.items()
    )


def bar_lines(count: int, measure: int = 1) -> dict[int, str]:
    """A bar line after every ``measure`` columns of ``count``, and a final one at the end."""
    return {**dict.fromkeys(range(measure - 1, count - 1, measure), "|"), count - 1: "|."}


def run_bar_lines(columns: int, line: int = 15) -> dict[int, str]:
    """What follows each column of a run up and down.

    One octave stands on one line of music with a bar line at the top; longer runs stand on
    lines of ``line`` notes, of which the first has one more.
    """
    if columns <= line:
        return {columns // 2: "|", columns - 1: "|."}
    turns = range(line - 1, columns - 1, line - 1)
    return {**dict.fromkeys(turns, "break"), columns - 1: "|."}


def to_write(staves: Iterable[Staff]) -> tuple[Pitch, ...]:
    """The notes that the student writes on the staves."""
    return tuple(p for staff in staves for event in staff.events for p in event.written)
