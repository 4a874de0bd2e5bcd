"""What an exercise asks, whatever is filled in as help.

In: an exercise. Out: a digest, the same for exercises that differ only in their help. To a
teacher they are one exercise.
"""

from __future__ import annotations

import hashlib

import msgspec

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import DRAWN, Event, Exercise


def question(exercise: Exercise) -> str:
    """The digest, in hexadecimal."""
    return exercise.once(_question)


def _question(exercise: Exercise) -> str:
    signs = exercise.key.fifths if exercise.signed else 0
    label = exercise.label + exercise.listed
    parts = (exercise.family, label, signs, _music(exercise), exercise.figure, _asked(exercise))
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def _asked(exercise: Exercise) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """The rows that ask something, then every box, with its text where its row asks nothing.

    At least one place of a row is left to ask, however much help there is, and a place on the
    music that is given has no blank.
    """
    rows = {(blank.asks, blank.hand) for blank in exercise.asked}
    boxes = [
        (blank.tag, "" if (blank.asks, blank.hand) in rows else blank.answer)
        for blank in exercise.blanks
        if blank.asks not in DRAWN
    ]
    return sorted(rows), boxes


def _music(exercise: Exercise) -> str:
    """The digest of the music as the answer key has it, all of it printed.

    Where the gaps in it are what is asked, it stays as it is.
    """
    staves = exercise.staves
    if FAMILIES[exercise.family].gaps or not any(
        _to_write(event) for staff in staves for event in staff.events
    ):
        return exercise.music
    printed = [(staff.hand, list(map(_printed, staff.events))) for staff in staves]
    return hashlib.sha256(msgspec.json.encode(printed)).hexdigest()


def _to_write(event: Event) -> bool:
    return bool(
        event.written or event.signature_written or event.pen or event.pen_bar or event.room
    )


def _printed(event: Event) -> Event:
    return event._replace(
        written=(), signature_written=False, pen=False, pen_bar=False, room="", span=1
    )
