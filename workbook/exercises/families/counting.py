"""Counting: what is counted where each note or rest of a rhythm begins.

Beats are numbered; e, & and a divide them. In compound time every eighth has a number.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.value_names import value_name
from workbook.music.rhythm import GRADES, Value, counts

_BARS = {"quarters": 4, "eighths": 3, "dotted": 3, "sixteenths": 2}
_MOST = 15
"""The most notes and rests."""
_ALSO = {"&": ("+", "and")}


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    grade, metre = settings["values"], settings["metre"]
    made, time = rhythms.fitted(
        rhythms.times_of(metre, grade),
        grade,
        settings["rests"],
        range(_BARS[grade], 0, -1),
        _MOST,
        lambda found, _time: sum(map(len, found)) > 3,
        rng,
    )
    answers = [text for bar in made for text in counts(bar, time)]
    blanks = tuple(
        Blank("beat", "right", column, None, (), text, _ALSO.get(text, ()))
        for column, text in enumerate(answers)
    )
    rests = " and rest" * settings["rests"]
    parts = _parts(grade, metre, value_name(Value(8), request.naming))
    return Exercise(
        request.key,
        "right",
        f"Write the count at which each note{rests} begins{parts}.",
        f"Count in {time}",
        (rhythms.staff(rhythms.columns(made, time)),),
        give(blanks, request.given, rng),
        signed=False,
    )


def _parts(grade: str, metre: str, eighth: str) -> str:
    """What a task says of the counts between the numbers."""
    index = GRADES.index(grade)
    if metre == "compound":
        return f": a number for each {eighth}" + (" and & between two" if index > 1 else "")
    return ("", ", 1 & 2 &", ", 1 & 2 &", ", 1 e & a 2 e & a")[index]


BEAT = AnswerKind("beat", "the count where a note or rest begins: 1, &, e, a", 8.0, called="Counts")
FAMILY = Family(
    name="counting",
    title="Counting",
    kinds=(BEAT,),
    settings={"values": rhythms.VALUES, "metre": rhythms.METRE, "rests": rhythms.RESTS},
    maker=_make,
    by="",
    keyed=False,
)
