"""The circle of fifths: major keys outside, minor keys inside, to be filled in.

One key of each ring is printed: the request's own in its ring, any other in the other
ring. Minor keys have small letters, or an m after their syllable. The two keys at an hour of
the circle are relatives in the same spelling, at its own hour that of the request's key. Where
an hour has two spellings, both are right.
"""

from __future__ import annotations

from random import Random

from workbook.exercises.answers import MAJOR, MINOR
from workbook.exercises.family import Family
from workbook.exercises.figures import Circle
from workbook.exercises.model import Blank, Exercise, Request
from workbook.music.keys import ALL_KEYS, Key

_WHERE = {"major": "outside", "minor": "inside"}
_LABEL = "Circle of fifths"
HOURS = 12
_MOST_SHARPS = 6
"""The most sharps that a key of the circle is spelled with, unless the request asks for more."""


def hour(key: Key) -> int:
    """Where the key stands on the circle, clockwise from C major and A minor at the top, 0."""
    return key.fifths % HOURS


def _ring(own: Key, mode: str) -> list[Key]:
    """The keys of a ring by hour, a fifth from one to the next except at one seam.

    The twelve signatures go from five flats to six sharps, or are shifted just so far that
    ``own`` is among them. Both rings have the same ones, so relatives share an hour.
    """
    last = max(own.fifths, min(_MOST_SHARPS, own.fifths + HOURS - 1))
    keys = {
        hour(key): key for key in ALL_KEYS if key.mode == mode and last - HOURS < key.fifths <= last
    }
    return [keys[number] for number in range(HOURS)]


def _make(request: Request, rng: Random) -> Exercise:
    naming, own = request.naming, hour(request.key)
    blanks = []
    for mode in ("major", "minor"):
        if mode not in request.ask and mode != request.key.mode:
            continue
        first = (
            own
            if mode == request.key.mode
            else rng.choice([number for number in range(HOURS) if number != own])
        )
        rest = [number for number in range(HOURS) if number != first]
        given = {first, *rng.sample(rest, min(request.given, HOURS - 2))}
        for number, key in enumerate(_ring(request.key, mode)):
            if mode not in request.ask and number != first:
                continue
            others = [k for k in ALL_KEYS if k.mode == mode and hour(k) == number and k != key]
            name, *names = (naming.note(k.tonic_in(4)) for k in (key, *others))
            for text, k in zip((name, *names), (key, *others)):
                names.append(naming.key(k))
                if key.minor:
                    names += [text[0].lower() + text[1:], f"{text}m"]
            if key.minor:  # to distinguish them from the major keys
                letters = naming.letters in ("english", "german")
                small = name[0].lower() + name[1:] if letters else f"{name}m"
                name, names = small, [name, *(other for other in names if other != small)]
            blanks.append(
                Blank(
                    mode,
                    "right",
                    number,
                    None,
                    (key.tonic_in(4),),
                    name,
                    tuple(names),
                    number in given,
                )
            )
    rings = " and the ".join(
        f"{mode} keys {_WHERE[mode]}" for mode in ("major", "minor") if mode in request.ask
    )
    return Exercise(
        request.key,
        "right",
        f"Write the {rings}.",
        _LABEL,
        (),
        tuple(blanks),
        figure=Circle(),
    )


FAMILY = Family(
    name="circle-of-fifths",
    title="Circle of fifths",
    kinds=(MAJOR, MINOR),
    settings={},
    maker=_make,
    by="",
    silent=(_LABEL,),
)
