"""Bar completion: each bar lacks one note, or one rest, which the student writes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import VALUE
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.exercises.value_names import value_answer
from workbook.music.rhythm import Bar, Time, groups

_MOST = 10
"""The most notes and rests."""


def _gaps(bar: Bar, time: Time, rest: bool) -> list[int]:
    """The sounds that can be missing: no whole bar, and no rest with a dot in simple time."""
    joined = {index for group in groups(bar, time) for index in group}
    fitting = [
        index
        for index, sound in enumerate(bar)
        if len(bar) > 1 and not (rest and sound.value.dots and not time.compound)
    ]
    return [index for index in fitting if index not in joined] or fitting


def _make(request: Request, rng: Random) -> Exercise:
    settings, rest = request.settings, request.settings["missing"] == "rest"

    def fits(found: Sequence[Bar], time: Time) -> bool:
        notes = [sum(not sound.rest for sound in bar) for bar in found]
        return all(_gaps(bar, time, rest) for bar in found) and min(notes) > rest

    made, time = rhythms.fitted(
        rhythms.times_of(settings["metre"], settings["values"]),
        settings["values"],
        settings["rests"],
        (2, 1) if settings["values"] == "sixteenths" else (3, 2, 1),
        _MOST,
        fits,
        rng,
    )
    gaps = [_gaps(bar, time, rest) for bar in made]
    given = set(rng.sample(range(len(made)), min(request.given, len(made) - 1)))
    events: list[Event] = []
    blanks: list[Blank] = []
    for number, (bar, places) in enumerate(zip(made, gaps)):
        gap = rng.choice(places)
        changed = (*bar[:gap], replace(bar[gap], rest=rest), *bar[gap + 1 :])
        own = rhythms.columns(
            [changed], time, "|." if number == len(made) - 1 else "|", signed=not number
        )
        joined = [group for group in groups(changed, time) if gap not in group]
        own = rhythms.beamed((one._replace(beam="") for one in own), joined)
        column = len(events) + gap
        if number not in given:
            own[gap] = own[gap]._replace(pen=True, room="value")
            answer, also = value_answer(bar[gap].value, request.naming, rest)
            blanks.append(Blank("value", "right", column, None, (), answer, also))
        events += own
    measure = request.naming.measure
    return Exercise(
        request.key,
        "right",
        f"Complete each {measure} with one {'rest' if rest else 'note'}.",
        f"{measure.capitalize()}s in {time}",
        (rhythms.staff(events),),
        tuple(blanks),
        signed=False,
        roomy=True,
    )


FAMILY = Family(
    name="bar-completion",
    title="Completing measures",
    british="Completing bars",
    kinds=(VALUE,),
    settings={
        "missing": Setting(("note", "rest"), "note", skill=True, about="what is to be written"),
        "values": rhythms.VALUES,
        "metre": rhythms.METRE,
        "rests": rhythms.RESTS,
    },
    maker=_make,
    by="",
    keyed=False,
)
