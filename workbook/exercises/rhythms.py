"""Rhythms on a staff of one line: columns of notes and rests with beams and bar lines.

In: bars of sounds. Out: a staff. Every sound is a column, so that boxes under a rhythm are as
even as those under any other music.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from random import Random

from workbook.exercises.model import Event, Staff
from workbook.exercises.settings import Setting
from workbook.music.pitch import pitch
from workbook.music.rhythm import COMPOUND, GRADES, SIMPLE, Bar, Sound, Time, bars, groups

LINE = pitch("B4")
"""The note that stands for the line."""
CLEF = "percussion"

VALUES = Setting(
    GRADES,
    "quarters",
    skill=True,
    about="which values occur, each with those before it; in compound time, `quarters` are "
    "dotted, or a quarter and an eighth",
)
RESTS = Setting((False, True), False, about="whether rests occur")
METRE = Setting(("simple", "compound"), "simple", skill=True, about="the kind of time")


def times_of(metre: str, grade: str = "") -> tuple[Time, ...]:
    """The time signatures of a kind of time; for many short values, those of short bars."""
    if metre == "compound":
        return COMPOUND[:1] if grade == "sixteenths" else COMPOUND
    return SIMPLE[:2] if grade == "sixteenths" else SIMPLE


def event(sound: Sound, pen: bool = False) -> Event:
    """A note or rest as a column, without beams."""
    return Event(
        () if sound.rest else (LINE,),
        CLEF,
        str(sound.value),
        rest=sound.rest,
        tied=sound.tied,
        pen=pen,
    )


def columns(
    made: Sequence[Bar],
    time: Time,
    end: str = "|.",
    pen: Collection[int] = (),
    signed: bool = True,
) -> list[Event]:
    """The columns of the bars ``made`` in ``time``; ``end`` follows the last. Those numbered in
    ``pen`` are written by the student. With ``signed`` the time signature is printed.
    """
    found: list[Event] = []
    for number, bar in enumerate(made):
        own = [event(sound, len(found) + index in pen) for index, sound in enumerate(bar)]
        own = beamed(own, groups(bar, time))
        own[-1] = own[-1]._replace(after=end if number == len(made) - 1 else "|")
        found += own
    if signed:
        found[0] = found[0]._replace(time=str(time))
    return found


def beamed(events: Iterable[Event], joined: Iterable[Sequence[int]]) -> list[Event]:
    """The columns with a beam over each group of indices."""
    found = list(events)
    for first, *_, last in joined:
        found[first] = found[first]._replace(beam="[")
        found[last] = found[last]._replace(beam="]")
    return found


def staff(events: Iterable[Event]) -> Staff:
    """The line of a rhythm."""
    return Staff("right", tuple(events), lines=1, stems=True)


def fitted(
    times: Sequence[Time],
    grade: str,
    rests: bool,
    counts: Sequence[int],
    most: int,
    fits: Callable[[Sequence[Bar], Time], bool],
    rng: Random,
) -> tuple[tuple[Bar, ...], Time]:
    """Bars in one of the ``times`` that have together at most ``most`` sounds and ``fits``.

    The first of ``counts`` is how many; the next ones are tried where none are found. Raises
    ValueError if there are none at all.
    """
    for count in counts:
        for _ in range(_TRIES if count > counts[-1] else _LAST):
            time = rng.choice(times)
            made = bars(time, grade, rests, count, rng)
            if sum(map(len, made)) <= most and fits(made, time):
                return made, time
    raise ValueError(f"no bars of {grade} fit")


_TRIES, _LAST = 25, 2000
"""How often bars are made that may fit, and how often the fewest."""
