"""Where the lines of music end when the music is too long for one line.

In: an exercise and how many lines it needs. Out: the columns after which a line ends, so
that all lines are of about the same length. What belongs together stays together: a short
measure is kept whole, notes under one beam are, and a box between two notes stays with the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from workbook.exercises.model import Event, Exercise, Staff

KEPT = 3
"""Columns of the longest measure that is never broken."""
_BAR_LINE = 0.6
"""Columns by which a bar line may be farther from the ideal line end and still be chosen."""
_RHYTHM_BAR_LINE = 0.3
"""The same where the music has rhythm, as a share of the line."""


def parts(exercise: Exercise) -> int:
    """How many lines the exercise itself asks for."""
    return len(_parts(exercise.staves[0].events))


def line_ends(exercise: Exercise, lines: int) -> tuple[int, ...]:
    """The columns after which a line ends, beside those that the exercise asks for, for
    ``lines`` lines or the next larger number that all parts can have alike.

    () if the music cannot be broken in so many places.
    """
    each = -(-lines // parts(exercise))
    found = [
        ends_between(exercise, first, last, each)
        for first, last in _parts(exercise.staves[0].events)
    ]
    return tuple(chain(*found)) if all(found) else ()


def ends_between(exercise: Exercise, first: int, last: int, lines: int) -> tuple[int, ...]:
    """The columns after which a line ends where those from ``first`` to ``last`` have so many
    ``lines``; () if they cannot be broken in so many places.
    """
    staff = exercise.staves[0]
    beamed = {column for one in exercise.staves for column in _in_beams(one)}
    left = [c for c in _allowed(staff.events) if c not in beamed and first <= c < last]
    long = (last - first + 1) / lines
    bars = _RHYTHM_BAR_LINE * long if staff.stems else _BAR_LINE
    found: list[int] = []
    for number in range(1, lines):
        left = [column for column in left if not found or column > found[-1]]
        if not left:
            return ()
        found.append(_nearest(left, first + number * long - 1, staff.events, bars))
    return tuple(found)


def _nearest(columns: list[int], ideal: float, events: tuple[Event, ...], bar_line: float) -> int:
    """The column nearest to ``ideal``; one before a bar line may be ``bar_line`` farther away."""

    def distance(column: int) -> tuple[float, int]:
        return abs(column - ideal) - bar_line * bool(events[column].after), column

    return min(columns, key=distance)


def _in_beams(staff: Staff) -> Iterator[int]:
    """The columns after which a beam, or a tie, goes on."""
    inside = False
    for column, event in enumerate(staff.events):
        inside = event.beam == "[" or (inside and event.beam != "]")
        if inside or event.tied:
            yield column


def _measures(events: tuple[Event, ...]) -> list[list[int]]:
    found: list[list[int]] = [[]]
    for column, event in enumerate(events):
        found[-1].append(column)
        if event.after:
            found.append([])
    return [measure for measure in found if measure]


def _parts(events: tuple[Event, ...]) -> list[tuple[int, int]]:
    """First and last column of each part, which has lines of its own."""
    ends = [column for column, event in enumerate(events) if event.after == "break"]
    ends += [len(events) - 1] * (not ends or ends[-1] < len(events) - 1)
    return list(zip([0, *(end + 1 for end in ends)], ends))


def _allowed(events: tuple[Event, ...]) -> list[int]:
    """The columns after which a line may end."""
    found = []
    for measure in _measures(events):
        if len(measure) > KEPT:
            found += [column for column in measure[:-1] if events[column + 1].pitches]
        found.append(measure[-1])
    return found
