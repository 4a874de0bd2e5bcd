"""Blanks: rows of boxes and notes to be written, and which of them are given as help."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from random import Random

from workbook.exercises.answers import AnswerKind
from workbook.exercises.model import Blank, Staff
from workbook.exercises.registers import Column, Columns
from workbook.fingering.conventions import Finger
from workbook.music.naming import Naming

Answer = tuple[str, tuple[str, ...]]
"""The answer, and what else is accepted."""


def finger_blanks(
    side: str, columns: Columns, fingers: Iterable[tuple[Finger, ...]]
) -> tuple[Blank, ...]:
    """A blank for the finger on each note of each column, low to high."""
    return tuple(
        Blank(
            "finger",
            side,
            column,
            note if len(notes) > 1 else None,
            (notes[note],),
            finger.finger,
            finger.also,
            versions=finger.versions,
        )
        for column, (notes, chord) in enumerate(zip(columns, fingers))
        for note, finger in enumerate(chord)
    )


def chord_blanks(
    asks: str, sides: Mapping[str, Columns], answers: Iterable[Answer]
) -> tuple[Blank, ...]:
    """A blank about the whole chord of each column, asked once for both hands."""
    side = next(iter(sides))
    return tuple(
        Blank(asks, side, column, None, notes, answer, also)
        for column, (notes, (answer, also)) in enumerate(zip(sides[side], answers))
    )


def text_blanks(
    asks: str,
    side: str,
    answers: Iterable[str],
    of: Iterable[Column],
    also: Iterable[tuple[str, ...]] | None = None,
    given: bool = False,
) -> tuple[Blank, ...]:
    """A blank with one of the answers for each column; printed labels if ``given``."""
    answers = list(answers)
    return tuple(
        Blank(asks, side, column, None, notes, answer, others, given)
        for column, (answer, notes, others) in enumerate(
            zip(answers, of, also or [()] * len(answers))
        )
    )


def note_blanks(built: Iterable[Staff], naming: Naming) -> tuple[Blank, ...]:
    """A blank for each column in which the student writes notes."""
    return tuple(
        Blank(
            "notes",
            staff.hand,
            column,
            None,
            event.written,
            " ".join(naming.note(p) for p in event.written),
        )
        for staff in built
        for column, event in enumerate(staff.events)
        if event.written
    )


def in_order(blanks: Iterable[Blank], ask: tuple[str, ...]) -> tuple[Blank, ...]:
    """The blanks that are asked, row by row in the order of ``ask``, each row from the left."""
    return tuple(
        sorted(
            (b for b in blanks if b.asks in ask),
            key=lambda b: (ask.index(b.asks), b.hand == "left", b.column, b.note or 0),
        )
    )


_ABOVE = {"top": 0, "above": 1, "next": 2}


def page_order(blanks: Sequence[Blank], kinds: Mapping[str, AnswerKind]) -> tuple[Blank, ...]:
    """``blanks`` row by row as they stand on the page, from the top down.

    So a box is counted as a reader counts it. Within a row the order stays.
    """
    keys = list(dict.fromkeys((blank.asks, blank.hand) for blank in blanks))

    def place(blank: Blank) -> tuple[int, int]:
        key = blank.asks, blank.hand
        kind, number = kinds[blank.asks], keys.index(key)
        if kind.size is None:  # on the music itself
            return 3, number
        right = blank.hand == "right"
        above = kind.row == "top" or (kind.row in _ABOVE and right)
        if above or (right and (blank.asks, "left") in keys):
            return _ABOVE.get(kind.row, 1), -number
        return 4 if kind.row == "next" else 5, number

    return tuple(sorted(blanks, key=place))


def give(blanks: Iterable[Blank], count: int, rng: Random) -> tuple[Blank, ...]:
    """``blanks`` with ``count`` columns of each row given, but at least one left to ask.

    The fingerings of a run that do not go with what is given are no longer accepted.
    """
    blanks = tuple(blanks)
    if not count:
        return blanks
    rows: dict[tuple[str, str], list[int]] = {}
    for blank in blanks:
        columns = rows.setdefault((blank.asks, blank.hand), [])
        if blank.column not in columns:
            columns.append(blank.column)
    chosen = {
        row: set(rng.sample(columns, min(count, len(columns) - 1))) for row, columns in rows.items()
    }
    shown = [b._replace(given=b.column in chosen[b.asks, b.hand]) for b in blanks]
    fixed: dict[tuple[str, str], list[Blank]] = {}
    for b in shown:
        if b.given and b.note is None:
            fixed.setdefault((b.asks, b.hand), []).append(b)
    return tuple(
        _agreeing(b, fixed.get((b.asks, b.hand), [])) if len(b.versions) > 1 else b for b in shown
    )


def _agreeing(blank: Blank, given: list[Blank]) -> Blank:
    """The blank with those of its versions that go with the ``given`` blanks of its row."""
    kept = tuple(
        version
        for index, version in enumerate(blank.versions)
        if all(other.versions[index] == other.answer for other in given)
    )
    return blank._replace(
        versions=kept,
        also=tuple(other for other in blank.also if other in kept or other not in blank.versions),
    )
