"""Scale matching: scales without key signatures, and a list of the keys that they belong to.

The request's key is among keys close to it: its neighbours on the circle of fifths, its
relative and its parallel key. Each scale matches one key of the list and no other, and its
first note alone does not tell which.
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
LABEL = "The keys"
_NOTES = 8
Chosen = list[tuple[Key, int]]
"""Keys, and the degree from which the scale of each begins."""


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


def choose(key: Key, minor: str, any_degree: bool, rng: Random) -> Chosen:
    """A key for each of the ``NUMBERS``, ``key`` among them, no two with the same seven notes.

    From their tonics, two keys and the parallel key of each; from ``any_degree``, or if ``key``
    has no parallel key, keys that share the note on which all scales begin. ``minor`` is the
    form of the minor scales.
    """
    pairs = [pair for pair in map(_pair, [key, *close(key)]) if len(pair) == 2]
    if any_degree or key not in pairs[0]:
        return rng.sample(_sharing(key, minor, rng), len(NUMBERS))
    four = [[*pairs[0], *pair] for pair in pairs if _differ([*pairs[0], *pair], minor)]
    return [(one, 1) for one in rng.sample(rng.choice(four), len(NUMBERS))]


def _pair(key: Key) -> list[Key]:
    """The keys on the tonic of ``key``, major first."""
    return [other for other in ALL_KEYS if other.tonic == key.tonic]


def _differ(keys: list[Key], minor: str) -> bool:
    """Whether no two of the keys have the same seven notes."""
    return len({frozenset(_names(key, minor)) for key in keys}) == len(keys)


def _sharing(key: Key, minor: str, rng: Random) -> Chosen:
    """Keys with a note of ``key`` in common, and its degree in each, ``key`` first."""
    for degree in rng.sample(range(7), 7):
        name = _names(key, minor)[degree]
        found = [(key, degree + 1)]
        seen = {frozenset(_names(key, minor))}
        for other in rng.sample(close(key), len(close(key))):
            names = _names(other, minor)
            if name in names and frozenset(names) not in seen and len(found) < len(NUMBERS):
                seen.add(frozenset(names))
                found.append((other, names.index(name) + 1))
        if len(found) == len(NUMBERS):
            return found
    raise ValueError(f"no note of {key} is in {len(NUMBERS)} keys near it")


def _names(key: Key, minor: str) -> list[str]:
    return [note_name(p) for p in scales.ascending(key, _form(key, minor), 4)[:7]]


def _form(key: Key, minor: str) -> str:
    return minor if key.minor else "major"


def _scale(key: Key, form: str, start: int, at: int) -> Columns:
    return [(p,) for p in scales.from_degree(key, form, start, at)]


def _make(request: Request, rng: Random) -> Exercise:
    minor = request.settings["minor"]
    chosen = choose(request.key, minor, request.settings["start"] == "any", rng)
    keys, starts = [key for key, _ in chosen], dict(chosen)
    sides = SIDES[request.hand]
    # a system of two staves takes the room of two lines
    count = len(NUMBERS) - (len(sides) > 1)
    printed = [request.key, *rng.sample([k for k in keys if k != request.key], count - 1)]
    rng.shuffle(printed)
    events: dict[str, list[Event]] = {side: [] for side in sides}
    blanks = []
    for line, key in enumerate(printed):
        bar = "|." if line == count - 1 else "break"
        music = partial(_scale, key, _form(key, minor), starts[key])
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
    told = f" (minor: {minor})" if any(key.minor for key in keys) else ""
    return Exercise(
        request.key,
        request.hand,
        "Write the number of each scale’s key.",
        LABEL + told,
        tuple(Staff(side, tuple(row)) for side, row in events.items()),
        give(blanks, request.given, rng),
        signed=False,
        choices=tuple(map(request.naming.key, keys)),
    )


NUMBER = AnswerKind("number", "the number of an entry in a list", 8.0, row="end")
FAMILY = Family(
    name="scale-matching",
    title="Scales and their keys",
    kinds=(NUMBER,),
    settings={
        "minor": Setting(
            ("harmonic", "natural", "melodic"),
            "harmonic",
            skill=True,
            about="the form of minor scales",
        ),
        "start": Setting(
            ("tonic", "any"),
            "tonic",
            about="the degree that a scale starts on: `tonic` has keys and their parallel keys, "
            "`any` and keys without a parallel key start all scales on the same note",
        ),
    },
    maker=_make,
    by="clef",
)
