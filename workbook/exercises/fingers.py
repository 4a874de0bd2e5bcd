"""Fingers as answers: of runs, with the reasons of some, and of chords one after another."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from workbook.exercises.blanks import finger_blanks
from workbook.exercises.model import Blank, Request
from workbook.exercises.registers import Columns
from workbook.fingering import search
from workbook.fingering.conventions import Finger, Fingers
from workbook.fingering.reasons import chief, reasons

_WHYS = 3
"""The most reasons that one exercise gives on the answer key."""
_CLOSE = 1.0
"""Points of difficulty by which another fingering may be harder and still be accepted."""


def run_blanks(
    request: Request, sides: dict[str, Columns], fingers: Callable[[str], Fingers]
) -> tuple[Blank, ...]:
    """Finger blanks of a run of single notes, ``fingers`` by side, with a few reasons."""
    blanks: list[Blank] = []
    for side, columns in sides.items():
        answers = fingers(side)
        row = list(finger_blanks(side, columns, [(finger,) for finger in answers]))
        found = reasons(
            [p for (p,) in columns], [f.finger for f in answers], side, request.naming.note
        )
        most = _WHYS // len(sides) + (side == "right" and len(sides) > 1)
        for index, words in chief(found, most):
            row[index] = row[index]._replace(why=words)
        blanks += row
    return tuple(blanks)


def chord_fingers(
    request: Request, side: str, columns: Columns, shapes: Sequence[str | None]
) -> list[Fingers]:
    """Fingers of chords one after another, low to high, for one hand.

    They follow the convention for the ``shapes`` of the hand; a search finds those of
    chords whose shape is None, and what it finds nearly as easy as its first choice is
    accepted too.
    """
    if all(shapes):
        return [request.fingering.chord(shape, side) for shape in shapes if shape]
    first, *others = search.best_chords(columns, side)
    close = [choice for choice in others if choice.points <= first.points + _CLOSE]
    return [
        request.fingering.chord(shape, side)
        if shape
        else tuple(
            Finger((digit, *(choice.fingers[index][note] for choice in close)))
            for note, digit in enumerate(first.fingers[index])
        )
        for index, shape in enumerate(shapes)
    ]
