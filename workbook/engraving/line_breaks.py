"""Where a line of music ends that is too long for the page.

In: an exercise and how many lines it needs. Out: the columns after which a line
ends, so that the lines are of about one length. Nothing stands apart that belongs
together: a short measure is kept whole, and a box between two notes stays with the first.
"""

from __future__ import annotations

from workbook.exercises.model import Event, Exercise

KEPT = 3
"""Columns of a measure that is never broken."""


def may_break(exercise: Exercise) -> bool:
    """Whether a measure is so long that a line may end within it."""
    return any(len(measure) > KEPT for measure in _measures(exercise.staves[0].events))


def parts(exercise: Exercise) -> int:
    """How many lines the exercise itself asks for."""
    return len(_parts(exercise.staves[0].events))


def turns(exercise: Exercise, lines: int) -> tuple[int, ...]:
    """The columns after which a line ends, for ``lines`` lines or the next number that all
    parts can have alike; () where there are not so many places for it.
    """
    events = exercise.staves[0].events
    each = -(-lines // parts(exercise))
    places = _places(events)
    found: list[int] = []
    for first, last in _parts(events):
        here = [column for column in places if first <= column < last]
        for number in range(1, each):
            ideal = first + number * (last - first + 1) / each - 1
            after = [column for column in here if not found or column > found[-1]]
            if not after:
                return ()
            # of two places as good, the one at a bar line
            found.append(
                min(
                    after,
                    key=lambda column: (
                        abs(column - ideal) - 0.6 * bool(events[column].after),
                        column,
                    ),
                )
            )
    return tuple(found)


def _measures(events: tuple[Event, ...]) -> list[list[int]]:
    found: list[list[int]] = [[]]
    for column, event in enumerate(events):
        found[-1].append(column)
        if event.after:
            found.append([])
    return [measure for measure in found if measure]


def _parts(events: tuple[Event, ...]) -> list[tuple[int, int]]:
    """First and last column of each part that stands on lines of its own."""
    ends = [column for column, event in enumerate(events) if event.after == "break"]
    ends += [len(events) - 1] * (not ends or ends[-1] < len(events) - 1)
    return list(zip([0, *(end + 1 for end in ends)], ends))


def _places(events: tuple[Event, ...]) -> list[int]:
    found = []
    for measure in _measures(events):
        inner = [
            column for column in measure[:-1] if len(measure) > KEPT and events[column + 1].pitches
        ]
        found += [*inner, measure[-1]]
    return found
