"""Scale matching: scales without key signatures, and the list of the keys they belong to.

The request's key stands among keys close to it: its neighbours on the circle of fifths,
its relative and its parallel key. Each scale matches one key of the list and no other.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Family, Request, Staff, give
from workbook.music import scales
from workbook.music.keys import ALL_KEYS, Key
from workbook.music.pitch import note_name
from workbook.music.register import CLEFS

NUMBERS = "1234"
_NOTES = 8


def close(key: Key) -> list[Key]:
    """The keys near ``key``: at most three fifths away in its mode, one in the other, parallel."""
    return [
        other
        for other in ALL_KEYS
        if other != key
        and (
            abs(other.fifths - key.fifths) <= (3 if other.mode == key.mode else 1)
            or other.tonic == key.tonic
        )
    ]


def choose(key: Key, count: int, form: str, rng: Random) -> list[Key]:
    """``count`` keys with ``key`` among them, no two of which have the same seven notes."""
    found, seen = [], set()
    for other in [key, *rng.sample(close(key), len(close(key)))]:
        names = frozenset(map(note_name, scales.ascending(other, _form(other, form), 4)))
        if names not in seen and len(found) < count:
            seen.add(names)
            found.append(other)
    return rng.sample(found, count)


def _form(key: Key, form: str) -> str:
    return form if key.minor else "major"


def make(request: Request, rng: Random) -> Exercise:
    form = request.settings.get("minor", "harmonic")
    any_degree = request.settings.get("start") == "any"
    sides = SIDES[request.hand]
    # a system of two staves takes the room of two lines
    count = len(NUMBERS) - (len(sides) > 1)
    keys = choose(request.key, count, form, rng)
    printed = rng.sample(keys, count)
    events: dict[str, list[Event]] = {side: [] for side in sides}
    blanks = []
    for line, key in enumerate(printed):
        start = rng.randrange(1, 8) if any_degree else 1
        bar = "|." if line == count - 1 else "break"

        def music(at: int) -> common.Columns:
            return [(p,) for p in scales.from_degree(key, _form(key, form), start, at)]

        for side, columns in common.place(request, music, rng).items():
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
    minor = f" (minor: {form})" if any(key.minor for key in keys) else ""
    return Exercise(
        "scale-matching",
        request.key,
        request.hand,
        "Write the number of each scale’s key.",
        listed + minor,
        tuple(Staff(side, tuple(row)) for side, row in events.items()),
        give(tuple(blanks), request.given, rng),
        signed=False,
    )


FAMILY = Family(
    "scale-matching",
    "Scales and their keys",
    ("number",),
    {"minor": ("harmonic", "natural", "melodic"), "start": ("tonic", "any")},
    make,
    by="clef",
)
