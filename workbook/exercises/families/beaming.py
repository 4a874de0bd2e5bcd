"""Beaming: a rhythm without beams, or with wrong ones, written again with beams by the beat."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import AnswerKind
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.music.rhythm import Bar, Time, groups

_MOST = 12
"""The most notes and rests."""


def _runs(bar: Bar) -> list[list[int]]:
    """Notes of a bar that follow each other and have flags, beat or no beat."""
    found: list[list[int]] = []
    for index, sound in enumerate(bar):
        if sound.rest or sound.value.base < 8:
            continue
        if found and found[-1][-1] == index - 1:
            found[-1].append(index)
        else:
            found.append([index])
    return found


def wrong(bar: Bar, right: list[list[int]]) -> list[list[int]]:
    """Beams over pairs of notes, whatever the beat: from the first note of each run, or where
    that is ``right`` from its second.
    """
    for first in (0, 1):
        found = []
        for run in _runs(bar):
            rest = run[first:]
            found += [rest[at : at + 2] for at in range(0, len(rest) - 1, 2)]
        if found != right:
            break
    return found


def _fits(bar: Bar, time: Time) -> bool:
    right = groups(bar, time)
    return bool(right) and wrong(bar, right) != right and any(len(run) > 2 for run in _runs(bar))


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    made, time = rhythms.fitted(
        rhythms.times_of(settings["metre"], settings["values"])[:2],
        settings["values"],
        settings["rests"],
        (2, 1),
        _MOST,
        lambda found, time: all(_fits(bar, time) for bar in found),
        rng,
    )
    printed = rhythms.columns(made, time, end="break")
    first = 0
    for bar in made:
        own = [one._replace(beam="") for one in printed[first : first + len(bar)]]
        joined = wrong(bar, groups(bar, time)) if settings["printed"] == "wrong beams" else []
        printed[first : first + len(bar)] = rhythms.beamed(own, joined)
        first += len(bar)
    given = set(rng.sample(range(len(made)), min(request.given, len(made) - 1)))
    copy: list[Event] = []
    blanks: list[Blank] = []
    for number, bar in enumerate(made):
        pen = () if number in given else range(len(bar))
        end = "|." if number == len(made) - 1 else "|"
        own = rhythms.columns([bar], time, end, pen, signed=not number)
        if number not in given:
            own[0] = own[0]._replace(room="beams", span=len(bar))
            answer = " ".join(str(len(group)) for group in groups(bar, time))
            blanks.append(Blank("beams", "right", first + len(copy), None, (), answer))
        copy += own
    return Exercise(
        request.key,
        "right",
        "Write the rhythm again, with one beam for each beat.",
        f"Beams in {time}",
        (rhythms.staff((*printed, *copy)),),
        tuple(blanks),
        signed=False,
    )


BEAMS = AnswerKind(
    "beams",
    "notes to be written with beams; as text, how many each beam joins",
    None,
    called="Notes under each beam",
)
FAMILY = Family(
    name="beaming",
    title="Beams",
    kinds=(BEAMS,),
    settings={
        "printed": Setting(
            ("flags", "wrong beams"), "flags", skill=True, about="how the rhythm is printed"
        ),
        "values": replace(rhythms.VALUES, values=rhythms.VALUES.values[1:], default="eighths"),
        "metre": rhythms.METRE,
        "rests": rhythms.RESTS,
    },
    maker=_make,
    by="",
    keyed=False,
)
