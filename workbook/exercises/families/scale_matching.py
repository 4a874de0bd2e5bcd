"""Scale matching: scales without key signatures, and a list of the keys that they belong to.

The request's key is among keys close to it: its neighbours on the circle of fifths, its
relative and its parallel key. Each scale matches one key of the list and no other.
"""

from __future__ import annotations

from functools import partial
from random import Random

from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.music import scales
from workbook.music.keys import ALL_KEYS, Key
from workbook.music.pitch import note_name
from workbook.music.register import CLEFS

NUMBERS = "1234"
_NOTES = 8


def close(key: Key) -> list[Key]:
    """The keys near ``key``: within three fifths in its mode, one in the other, and parallel."""
    return [
        other
        for other in ALL_KEYS
        if other != key
        and (
            abs(other.fifths - key.fifths) <= (3 if other.mode == key.mode else 1)
            or other.tonic == key.tonic
        )
    ]


def choose(key: Key, count: int, minor: str, rng: Random) -> list[Key]:
    """``count`` keys, ``key`` among them, no two with the same seven notes.

    ``minor`` is the form of the minor scales.
    """
    found: list[Key] = []
    seen = set()
    for other in [key, *rng.sample(close(key), len(close(key)))]:
        names = frozenset(map(note_name, scales.ascending(other, _form(other, minor), 4)))
        if names not in seen and len(found) < count:
            seen.add(names)
            found.append(other)
    return rng.sample(found, count)


def _form(key: Key, minor: str) -> str:
    return minor if key.minor else "major"


def _scale(key: Key, form: str, start: int, at: int) -> Columns:
    return [(p,) for p in scales.from_degree(key, form, start, at)]


def _make(request: Request, rng: Random) -> Exercise:
    minor = request.settings["minor"]
    any_degree = request.settings["start"] == "any"
    sides = SIDES[request.hand]
    # a system of two staves takes the room of two lines
    count = len(NUMBERS) - (len(sides) > 1)
    keys = choose(request.key, count, minor, rng)
    printed = rng.sample(keys, count)
    events: dict[str, list[Event]] = {side: [] for side in sides}
    blanks = []
    for line, key in enumerate(printed):
        start = rng.randrange(1, 8) if any_degree else 1
        bar = "|." if line == count - 1 else "break"
        music = partial(_scale, key, _form(key, minor), start)
        for side, columns in fit_register(request, music, rng).items():
            events[side] += [Event(column, CLEFS[side], "1") for column in columns]
            events[side].append(Event((), CLEFS[side], "1", bar))
        blanks.append(
            Blank(
                "number",
                sides[-1],
                line * (_NOTES + 1) + _NOTES,
                None,
                tuple(p for (p,) in columns),
                NUMBERS[keys.index(key)],
            )
        )
    listed = ", ".join(f"{number}: {request.naming.key(key)}" for number, key in zip(NUMBERS, keys))
    told = f" (minor: {minor})" if any(key.minor for key in keys) else ""
    return Exercise(
        request.key,
        request.hand,
        "Write the number of each scale’s key.",
        listed + told,
        tuple(Staff(side, tuple(row)) for side, row in events.items()),
        give(blanks, request.given, rng),
        signed=False,
    )


NUMBER = AnswerKind("number", "the number of an entry in a list", 8.0)
FAMILY = Family(
    name="scale-matching",
    title="Scales and their keys",
    kinds=(NUMBER,),
    settings={
        "minor": Setting(("harmonic", "natural", "melodic"), "harmonic", skill=True),
        "start": Setting(("tonic", "any"), "tonic", about="the degree that a scale starts on"),
    },
    maker=_make,
    by="clef",
)
