"""Time signatures: bars whose time is to be named, as a signature, as a kind of time, or both.

Each bar shows by its values and beams which of the times it is in.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import rhythms, wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.music.rhythm import COMPOUND, SIMPLE, Bar, Time, clear, kind

_TIMES = {"simple": SIMPLE, "compound": COMPOUND, "both": (*SIMPLE, *COMPOUND)}
_COUNT, _LONGEST = 3, (7, 10)
"""Bars, and the most sounds in one of simple and of compound time."""
_ALSO = {"4/4": ("C",)}


def _bar(time: Time, request: Request, rng: Random) -> Bar:
    """A bar that shows its time by values and beams."""
    settings = request.settings
    made, _ = rhythms.fitted(
        [time],
        settings["values"],
        settings["rests"],
        [1],
        _LONGEST[time.compound],
        lambda found, time: len(found[0]) > 1 and clear(found[0], time, _TIMES["both"]),
        rng,
    )
    return made[0]


def _make(request: Request, rng: Random) -> Exercise:
    times = _TIMES[request.settings["metre"]]
    chosen = rng.sample(times, _COUNT)
    pairs = [(time, _bar(time, request, rng)) for time in chosen]
    # the box of the last bar has room if this is the longest
    pairs.append(pairs.pop(max(range(_COUNT), key=lambda number: len(pairs[number][1]))))
    events: list[Event] = []
    blanks: list[Blank] = []
    for time, one in pairs:
        end = "|." if one is pairs[-1][1] else "||"
        first = len(events)
        blanks += [
            Blank("time", "right", first, None, (), str(time), _ALSO.get(str(time), ())),
            Blank("metre", "right", first, None, (), kind(time), _reversed(kind(time))),
        ]
        events += rhythms.columns([one], time, end, signed=False)
    return Exercise(
        request.key,
        "right",
        wording.task((TIME, METRE), request.ask),
        "One bar in each time" if request.naming.british else "One measure in each time",
        (rhythms.staff(events),),
        give(in_order(blanks, request.ask), request.given, rng),
        signed=False,
    )


def _reversed(name: str) -> tuple[str, ...]:
    return (" ".join(reversed(name.split())),)


TIME = AnswerKind(
    "time", "a time signature: 3/4", 12.0, row="next", task="time signatures", called="Time"
)
METRE = AnswerKind(
    "metre",
    "the kind of time: simple duple, compound triple …",
    30.0,
    task="kinds of time (simple or compound; duple, triple or quadruple)",
    called="Kind of time",
)
FAMILY = Family(
    name="time-signatures",
    title="Time signatures",
    kinds=(TIME, METRE),
    settings={
        "values": rhythms.VALUES,
        "metre": Setting(tuple(_TIMES), "simple", skill=True, about="the kinds of time that occur"),
        "rests": rhythms.RESTS,
    },
    maker=_make,
    by="",
    keyed=False,
)
