"""Ties: two tied notes to be written as one, or a note as two tied ones."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import VALUE
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.exercises.value_names import value_answer
from workbook.music.rhythm import Sound, Value

_PARTS = {
    "quarters": ("4", "2", "1"),
    "eighths": ("8", "4", "2", "1"),
    "dotted": ("8", "4", "4.", "2", "2.", "1"),
    "sixteenths": ("16", "8", "8.", "4", "2", "1"),
    "double dotted": ("16", "8", "4", "4.", "2", "2.", "1"),
}
"""What may be tied, in any order."""
_LABEL = "Tied notes"
_COUNT = 4
_LONGEST = Fraction(3, 2)


def _value(text: str) -> Value:
    return Value(int(text.rstrip(".")), text.count("."))


def _sums(grade: str) -> Iterator[tuple[Value, Value, Value]]:
    """Two values and the one note that lasts as long as both; for `double dotted`, it has two
    dots or one.
    """
    most = 2 if grade == "double dotted" else 1
    notes = [Value(base, dots) for base in (1, 2, 4, 8) for dots in range(most + 1)]
    own = [_value(text) for text in _PARTS[grade]]
    for first in own:
        for second in own:
            for note in notes:
                if first.length < second.length or note.length > _LONGEST:
                    continue
                if first.length + second.length == note.length and (most == 1 or note.dots):
                    yield first, second, note


def _loses_its_dot(first: Value, _second: Value, note: Value) -> bool:
    """Whether the first of two notes is the one note without its last dot."""
    return note.dots > 0 and first == Value(note.base, note.dots - 1)


def _make(request: Request, rng: Random) -> Exercise:
    joined = request.settings["task"] == "one note"
    found = list(_sums(request.settings["values"]))
    if not joined:
        found = [one for one in found if _loses_its_dot(*one)]
    chosen = rng.sample(found, min(_COUNT, len(found)))
    events: list[Event] = []
    blanks: list[Blank] = []
    given = set(rng.sample(range(len(chosen)), min(request.given, len(chosen) - 1)))
    for number, (first, second, note) in enumerate(chosen):
        pair = [rhythms.event(Sound(first, tied=True)), rhythms.event(Sound(second))]
        one = [rhythms.event(Sound(note))]
        printed, written = (pair, one) if joined else (one, pair)
        events += [*printed[:-1], printed[-1]._replace(after="|")]
        if number not in given:
            for column, event in enumerate(written, len(events)):
                answer, also = value_answer(_value(event.value), request.naming)
                blanks.append(Blank("value", "right", column, None, (), answer, also))
            written = [event._replace(pen=True, room="value") for event in written]
        events += written
        events[-1] = events[-1]._replace(after="|." if number == len(chosen) - 1 else "||")
    task = "Write one note as long as the two tied notes."
    if not joined:
        task = "Write each note as two tied notes; the first has one dot less."
    return Exercise(
        request.key,
        "right",
        task,
        _LABEL,
        (rhythms.staff(events),),
        tuple(blanks),
        signed=False,
        roomy=True,
    )


FAMILY = Family(
    name="ties",
    title="Ties and dots",
    kinds=(VALUE,),
    settings={
        "task": Setting(("one note", "two notes"), "one note", skill=True, about="to be written"),
        "values": Setting(tuple(_PARTS), "quarters", skill=True, about="which are tied"),
    },
    maker=_make,
    by="",
    keyed=False,
    silent=(_LABEL,),
)
