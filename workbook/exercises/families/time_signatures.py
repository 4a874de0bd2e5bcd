"""Time signatures: bars whose time is to be named, as a signature, as a kind of time, or both.

Each bar shows by its values and beams which of the times it is in. Where only the kind is asked,
the signature is printed. The task lists the times, for a bar in 4/4 may be one in 2/2 elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from workbook.exercises import rhythms, wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.music.rhythm import COMPOUND, SIMPLE, Bar, Time, clear, kind

_TIMES = {"simple": SIMPLE, "compound": COMPOUND, "both": (*SIMPLE, *COMPOUND)}
_COUNT, _LONGEST, _SHORTER = 3, (7, 10), (5, 6)
"""Bars, and the most sounds in one of simple and of compound time; the second if a kind of time is
to be written below each."""
_ROOM, _TRIES = 3.9, 60
"""On one line there is room for so many bars as long as the shortest, with a kind of time below
each; how often bars are made that may fit."""
_ALSO = {"4/4": ("C",)}


def _bar(time: Time, request: Request, rng: Random) -> Bar:
    """A bar that shows its time by values and beams."""
    settings = request.settings
    made, _ = rhythms.fitted(
        [time],
        settings["values"],
        settings["rests"],
        [1],
        (_SHORTER if "metre" in request.ask else _LONGEST)[time.compound],
        lambda found, time: len(found[0]) > 1 and clear(found[0], time, _TIMES["both"]),
        rng,
    )
    return made[0]


def _pairs(request: Request, times: Sequence[Time], rng: Random) -> list[tuple[Time, Bar]]:
    """Times and a bar in each, which stand on one line; two if three do not fit."""
    for _ in range(_TRIES):
        pairs = [(time, _bar(time, request, rng)) for time in rng.sample(times, _COUNT)]
        sizes = [len(bar) for _, bar in pairs]
        if "metre" not in request.ask or sum(sizes) <= _ROOM * min(sizes):
            return pairs
    return pairs[:2]


def _make(request: Request, rng: Random) -> Exercise:
    times = _TIMES[request.settings["metre"]]
    pairs = _pairs(request, times, rng)
    # the box of the last bar has room if this is the longest
    pairs.append(pairs.pop(max(range(len(pairs)), key=lambda number: len(pairs[number][1]))))
    printed = "time" not in request.ask
    events: list[Event] = []
    blanks: list[Blank] = []
    for time, one in pairs:
        end = "|." if one is pairs[-1][1] else "||"
        first = len(events)
        blanks += [
            Blank("time", "right", first, None, (), str(time), _ALSO.get(str(time), ())),
            Blank("metre", "right", first, None, (), kind(time), _reversed(kind(time))),
        ]
        events += rhythms.columns([one], time, end, signed=printed)
    return Exercise(
        request.key,
        "right",
        _task(request.ask, times),
        "One bar in each time" if request.naming.british else "One measure in each time",
        (rhythms.staff(events),),
        give(in_order(blanks, request.ask), request.given, rng),
        signed=False,
    )


def _task(ask: tuple[str, ...], times: Sequence[Time]) -> str:
    listed = ", ".join(map(str, times[:-1])) + f" or {times[-1]}"
    what = {
        "time": f"time signatures ({listed})",
        "metre": "kinds of time (simple or compound; duple, triple or quadruple)",
    }
    return f"Write the {wording.listed([what[asks] for asks in ask])} in the boxes."


def _reversed(name: str) -> tuple[str, ...]:
    return (" ".join(reversed(name.split())),)


TIME = AnswerKind(
    "time", "a time signature: 3/4", 12.0, row="next", task="time signatures", called="Time"
)
METRE = AnswerKind(
    "metre",
    "the kind of time: simple duple, compound triple …",
    38.0,
    short=0,
    task="kinds of time",
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
