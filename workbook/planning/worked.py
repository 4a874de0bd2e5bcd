"""Worked exercises: with all answers printed, or all but some.

In: an exercise. Out: the same music, in which nothing, or little, is left to write.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from workbook.exercises.figures import Keyboard
from workbook.exercises.model import DRAWN, Event, Exercise


def worked(exercise: Exercise, taken_out: set[str]) -> Exercise:
    """The exercise with every blank given except those whose tag is in ``taken_out``."""
    blanks = tuple(
        blank._replace(given=blank.given or blank.tag not in taken_out) for blank in exercise.blanks
    )
    shown = {(blank.asks, blank.hand, blank.column) for blank in blanks if blank.given}

    def event(hand: str, column: int, one: Event) -> Event:
        if one.written and ("notes", hand, column) in shown:
            one = one._replace(written=())
        if one.signature_written and ("signature", hand, column) in shown:
            one = one._replace(signature_written=False)
        if one.room and (one.room, hand, column) in shown:
            one = one._replace(room="")
        return one

    staves = tuple(
        replace(
            staff,
            events=_inked(
                [event(staff.hand, column, one) for column, one in enumerate(staff.events)],
                staff.events,
            ),
        )
        for staff in exercise.staves
    )
    figure = exercise.figure
    if isinstance(figure, Keyboard) and ("keys", "right", 0) in shown:
        figure = replace(figure, shaded=(), shown=figure.shaded)
    # music printed on the staff for the student to read needs no blank
    blanks = tuple(b for b in blanks if not (b.given and b.asks in DRAWN))
    roomy = exercise.roomy or any(
        e.written or e.room == "value" for staff in exercise.staves for e in staff.events
    )
    return replace(exercise, blanks=blanks, staves=staves, figure=figure, roomy=roomy, faded=True)


def _inked(events: Sequence[Event], before: Sequence[Event]) -> tuple[Event, ...]:
    """The columns of ``events``; what is written in slots that ``before`` had and they do not is
    printed.
    """
    found = list(events)
    for column, (one, old) in enumerate(zip(events, before)):
        if old.room and not one.room:
            for place in range(column, column + old.span):
                found[place] = found[place]._replace(pen=False, pen_bar=False)
    return tuple(found)


def example(exercise: Exercise) -> Exercise:
    """The exercise as a worked example, its boxes as large as those to be filled in."""
    return replace(worked(exercise, set()), faded=True)
