"""A rhythm in words, for screen readers: values, rests, ties, beams, bar lines.

In: the columns of a staff with a rhythm. Out: what stands in each, in words.
"""

from __future__ import annotations

from collections.abc import Iterator

from workbook.exercises.model import Event, Exercise, Staff
from workbook.exercises.value_names import value_name
from workbook.music.naming import Naming
from workbook.music.rhythm import Value

_HEADS = {1: "open note head without a stem", 2: "open note head with a stem"}
_STEMMED = "filled note head with a stem"
_FLAGS = {8: "one flag", 16: "two flags"}
_RESTS = {
    1: "block that hangs from the line",
    2: "block that stands on the line",
    4: "zigzag rest",
    8: "rest with one hook",
    16: "rest with two hooks",
}
_DOTS = ("", " and a dot", " and two dots")
_BARS = {"|": "bar line", "||": "double bar line", "break": "bar line"}
_BEAMS = {"[": ", a beam begins", "]": ", the beam ends"}


def has_rhythm(staff: Staff) -> bool:
    """Whether note values mean something on the staff; elsewhere all columns are alike."""
    return staff.lines == 1 or any(event.time for event in staff.events)


def time_in_words(event: Event) -> Iterator[str]:
    """The time signature before a column."""
    if event.time:
        yield f"time signature {event.time}"


def bar_in_words(event: Event, answered: bool) -> Iterator[str]:
    """The bar line after a column; one that the student draws only if ``answered``."""
    if event.after in _BARS and (answered or not event.pen_bar):
        yield _BARS[event.after]


def sound_in_words(event: Event, exercise: Exercise, naming: Naming, answered: bool) -> str:
    """The note or rest of a column, without its pitch.

    Where its name is the answer, the workbook says what it looks like.
    """
    if event.pen and not answered:
        return "a note or rest to write"
    asked = {blank.asks for blank in exercise.asked}
    value = Value(int(event.value.rstrip(".")), event.value.count("."))
    if "called" in asked and not answered:
        text = _looks(value, event.rest)
    else:
        text = value_name(value, naming, event.rest)
    text += " tied to the next" * event.tied
    return text + (_BEAMS.get(event.beam, "") if "beams" in asked else "")


def _looks(value: Value, rest: bool) -> str:
    if rest:
        return _RESTS[value.base] + _DOTS[value.dots].replace(" and", " with")
    flags = f" and {_FLAGS[value.base]}" if value.base in _FLAGS else ""
    return _HEADS.get(value.base, _STEMMED) + flags + _DOTS[value.dots]
