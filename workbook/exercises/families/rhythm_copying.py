"""Rhythm copying: a rhythm written again in values twice, or half, as long.

The time signature of the copy has the same number of beats, of the new value.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import VALUE
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.value_names import value_answer
from workbook.music.keys import Key
from workbook.music.rhythm import Time, scaled, scaled_value

_FACTORS = {"doubled": Fraction(2), "halved": Fraction(1, 2)}
_TIMES = {"simple": (Time(2, 4), Time(3, 4)), "compound": (Time(6, 8),)}
_MOST, _LEAST = 8, {2: 4, 1: 3}
"""The most notes and rests, and the fewest of so many bars."""


def _make(request: Request, rng: Random) -> Exercise:
    settings, naming = request.settings, request.naming
    factor = _FACTORS[settings["copy"]]
    made, time = rhythms.fitted(
        _TIMES[settings["metre"]],
        settings["values"],
        settings["rests"],
        (2, 1),
        _MOST,
        lambda found, _time: sum(map(len, found)) >= _LEAST[len(found)],
        rng,
    )
    copies = [
        tuple(replace(sound, value=scaled_value(sound.value, factor)) for sound in bar)
        for bar in made
    ]
    length = sum(map(len, made))
    given = set(rng.sample(range(length), min(request.given, length - 1)))
    events = rhythms.columns(made, time, end="break")
    copy = rhythms.columns(
        copies, scaled(time, factor), pen=[place for place in range(length) if place not in given]
    )
    blanks = []
    for place, sound in enumerate(sound for bar in copies for sound in bar):
        if place in given:
            continue
        copy[place] = copy[place]._replace(room="value")
        answer, also = value_answer(sound.value, naming, sound.rest)
        blanks.append(Blank("value", "right", length + place, None, (), answer, also))
    return Exercise(
        request.key,
        "right",
        f"Copy the rhythm in {settings['copy']} values.",
        f"From {time} into {scaled(time, factor)}",
        (rhythms.staff((*events, *copy)),),
        tuple(blanks),
        signed=False,
        roomy=True,
    )


def _rule(settings: Settings, _key: Key, _hand: str) -> str:
    if settings["copy"] == "halved" and settings["values"] == "sixteenths":
        return 'halved sixteenths are too short; write copy = "doubled"'
    if settings["copy"] == "halved" and settings["metre"] == "compound":
        dotted = settings["values"] == "dotted"
        return 'halved, these values are too short; write values = "eighths"' if dotted else ""
    return ""


FAMILY = Family(
    name="rhythm-copying",
    title="Copying rhythms",
    kinds=(VALUE,),
    settings={
        "copy": Setting(
            tuple(_FACTORS), "doubled", skill=True, about="in values twice or half as long"
        ),
        "values": rhythms.VALUES,
        "metre": rhythms.METRE,
        "rests": rhythms.RESTS,
    },
    maker=_make,
    rule=_rule,
    by="",
    keyed=False,
)
