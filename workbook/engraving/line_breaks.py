"""Where the lines of music end when the music is too long for one line.

In: an exercise and how many lines it needs. Out: the columns after which a line ends, so
that all lines are of about the same length. What belongs together stays together: a short
measure is kept whole, notes under one beam are, and a box between two notes stays with the first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from workbook.exercises.model import Event, Exercise, Staff
from workbook.music.pitch import staff_degree

KEPT = 3
"""Columns of the longest measure that is never broken."""
_BAR_LINE = 0.6
"""Columns by which a bar line may be farther from the ideal line end and still be chosen."""
_RHYTHM_BAR_LINE = 0.3
"""The same where the music has rhythm, as a share of the line."""


def parts(exercise: Exercise) -> list[tuple[int, int]]:
    """First and last column of each part of the music, after which it asks for a new line."""
    events = exercise.staves[0].events
    return _divided(events, [column for column, e in enumerate(events) if e.after == "break"])


def ways(exercise: Exercise) -> list[tuple[int, int]]:
    """First and last column of both ways of a run; of any other music, its ``parts``."""
    first = exercise.staves[0]
    turning = turn(first)
    return parts(exercise) if turning is None else _divided(first.events, [turning])


def whole(exercise: Exercise) -> list[tuple[int, int]]:
    """First and last column of the music, as one part."""
    return _divided(exercise.staves[0].events, [])


def _divided(events: Sequence[Event], ends: list[int]) -> list[tuple[int, int]]:
    ends = [*ends, len(events) - 1] if not ends or ends[-1] < len(events) - 1 else ends
    return list(zip([0, *(end + 1 for end in ends)], ends))


def is_run(staff: Staff) -> bool:
    """Whether the notes are a run, which has black heads without stems, and no bars."""
    return staff.events[0].value == "4" and not staff.stems


def turn(staff: Staff) -> int | None:
    """The column where a run turns; None if it goes one way only, and for other music."""
    notes = [[staff_degree(p) for p in event.pitches] for event in staff.events]
    one_way = all(a < b for a, b in pairwise(notes)) or all(a > b for a, b in pairwise(notes))
    return None if one_way or not is_run(staff) else (len(notes) - 1) // 2


def line_ends(
    exercise: Exercise, divided: Sequence[tuple[int, int]], lines: Sequence[int]
) -> tuple[int, ...]:
    """The columns after which a line ends where each part of the music, from its first to its last
    column, has so many of the ``lines``; but for the last line.

    () if the music cannot be broken in so many places.
    """
    found: list[int] = []
    for (first, last), count in zip(divided, lines, strict=True):
        ends = ends_between(exercise, first, last, count)
        if not ends and count > 1:
            return ()
        found += [*ends, last]
    return tuple(found[:-1])


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


def _allowed(events: tuple[Event, ...]) -> list[int]:
    """The columns after which a line may end."""
    found = []
    for measure in _measures(events):
        if len(measure) > KEPT:
            found += [column for column in measure[:-1] if events[column + 1].pitches]
        found.append(measure[-1])
    return found
