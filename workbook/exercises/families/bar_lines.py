"""Bar lines: a rhythm with its time signature, in which the student draws the bar lines."""

from __future__ import annotations

from itertools import accumulate
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import AnswerKind
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request

_MOST = 13
"""The most notes and rests: a line of music holds them on the narrowest paper."""


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    made, time = rhythms.fitted(
        rhythms.times_of(settings["metre"], settings["values"]),
        settings["values"],
        settings["rests"],
        (2, 1) if settings["values"] == "sixteenths" else (4, 3, 2),
        _MOST,
        lambda _found, _time: True,
        rng,
    )
    ends = tuple(accumulate(map(len, made)))[:-1]
    events = rhythms.columns(made, time)
    for end in ends:
        events[end - 1] = events[end - 1]._replace(pen_bar=True)
    events[0] = events[0]._replace(room="bars", span=len(events))
    blank = Blank("bars", "right", 0, None, (), " ".join(map(str, ends)))
    return Exercise(
        request.key,
        "right",
        "Draw the bar lines that are missing.",
        f"Rhythm in {time}",
        (rhythms.staff(events),),
        (blank,),
        signed=False,
    )


BARS = AnswerKind(
    "bars",
    "bar lines to be drawn; as text, the numbers of the notes and rests before them",
    None,
    called="Bar lines after",
)
FAMILY = Family(
    name="bar-lines",
    title="Bar lines",
    kinds=(BARS,),
    settings={"values": rhythms.VALUES, "metre": rhythms.METRE, "rests": rhythms.RESTS},
    maker=_make,
    by="",
    keyed=False,
)
