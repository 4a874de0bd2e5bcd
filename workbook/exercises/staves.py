"""Staves: columns of notes with their clefs, octave lines and bar lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from workbook.exercises.model import Event, Staff
from workbook.exercises.registers import Column, Columns
from workbook.music.pitch import Pitch, pitch, staff_degree
from workbook.music.register import CLEFS, ledger_lines

_MIDDLE_C = staff_degree(pitch("C4"))
_HIGH, _LOW = staff_degree(pitch("C6")), staff_degree(pitch("E2"))
"""Where an octave line begins if a run goes too far for ledger lines."""
_FEW = 4
"""Notes for which the clef is not changed."""
_SIDE = {"treble": "right", "bass": "left"}


def printed_staves(
    sides: Mapping[str, Columns], value: str, bars: Mapping[int, str], most: int = 2
) -> tuple[Staff, ...]:
    """A staff for each side; ``bars`` says what follows a column, as in ``Event.after``.

    Where a run is too wide for ``most`` ledger lines, notes beyond middle C change into
    the other hand's clef, as piano music does, and what is still too high or too low
    stands under an octave line.
    """
    built = []
    for side, columns in sides.items():
        wide = any(ledger_lines(p, side) > max(most, 2) for c in columns for p in c)
        clefs = [CLEFS[side]] * len(columns)
        if wide:
            clefs = _steady(
                columns,
                ["bass" if staff_degree(column[0]) < _MIDDLE_C else "treble" for column in columns],
            )
        lines = _octave_lines(columns, clefs)
        built.append(
            Staff(
                side,
                tuple(
                    Event(column, clef, value, bars.get(index, ""), ottava=line)
                    for index, (column, clef, line) in enumerate(zip(columns, clefs, lines))
                ),
            )
        )
    return tuple(built)


def _steady(columns: Columns, clefs: list[str]) -> list[str]:
    """``clefs`` without a change for a few notes that two ledger lines can hold."""
    starts = [index for index, clef in enumerate(clefs) if not index or clef != clefs[index - 1]]
    steady = list(clefs)
    for start, end in zip(starts, [*starts[1:], len(clefs)]):
        other = "bass" if clefs[start] == "treble" else "treble"
        if end - start < min(_FEW + 1, len(clefs)) and all(
            ledger_lines(p, _SIDE[other]) <= 2 for column in columns[start:end] for p in column
        ):
            steady[start:end] = [other] * (end - start)
    return steady


def _octave_lines(columns: Columns, clefs: list[str]) -> list[int]:
    """1 for the columns under an 8va line, -1 over an 8vb line, else 0."""

    def beyond(column: Column, clef: str) -> bool:
        return any(ledger_lines(p, _SIDE[clef]) > 2 for p in column)

    need = {clef for column, clef in zip(columns, clefs) if beyond(column, clef)}
    lines = []
    for column, clef in zip(columns, clefs):
        line = 0
        if "treble" in need and clef == "treble" and staff_degree(column[0]) >= _HIGH:
            line = 1
        elif "bass" in need and clef == "bass" and staff_degree(column[-1]) <= _LOW:
            line = -1
        lines.append(line)
    return lines


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
