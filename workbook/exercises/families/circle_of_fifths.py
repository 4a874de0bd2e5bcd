"""The circle of fifths: major keys outside, minor keys inside, to be filled in.

One key of each ring is there from the start: the request's own in its ring, any other
one in the other ring. The two keys of a place are relatives in one spelling, that of
the request's key in its own place; where a place has two spellings, both are right.
"""

from __future__ import annotations

from random import Random

from workbook.exercises.figures import Circle
from workbook.exercises.model import Blank, Exercise, Family, Request
from workbook.music.keys import ALL_KEYS, Key

_WHERE = {"major": "outside", "minor": "inside"}
PLACES = 12
_MOST_SHARPS = 6
"""As far as the circle is spelled in sharps, if no key asks for more."""


def place(key: Key) -> int:
    """The key's place on the circle, clockwise from C major and A minor at the top."""
    return key.fifths % PLACES


def _ring(own: Key, mode: str) -> list[Key]:
    """The keys of a ring by place, neighbours a fifth apart but at one seam.

    The twelve signatures go from five flats to six sharps, or only so far aside that
    ``own`` is among them; both rings have the same ones, so each place has relatives.
    """
    last = max(own.fifths, min(_MOST_SHARPS, own.fifths + PLACES - 1))
    keys = {
        place(key): key
        for key in ALL_KEYS
        if key.mode == mode and last - PLACES < key.fifths <= last
    }
    return [keys[number] for number in range(PLACES)]


def make(request: Request, rng: Random) -> Exercise:
    naming, own = request.naming, place(request.key)
    blanks = []
    for mode in ("major", "minor"):
        if mode not in request.ask and mode != request.key.mode:
            continue
        first = (
            own
            if mode == request.key.mode
            else rng.choice([number for number in range(PLACES) if number != own])
        )
        rest = [number for number in range(PLACES) if number != first]
        given = {first, *rng.sample(rest, min(request.given, PLACES - 2))}
        for number, key in enumerate(_ring(request.key, mode)):
            if mode not in request.ask and number != first:
                continue
            names = [
                naming.note(k.tonic_in(4))
                for k in ALL_KEYS
                if k.mode == mode and place(k) == number and k != key
            ]
            name = naming.note(key.tonic_in(4))
            if key.minor:
                names += [
                    n for text in (name, *names) for n in (text[0].lower() + text[1:], f"{text}m")
                ]
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
        "circle-of-fifths",
        request.key,
        "right",
        f"Write the {rings}.",
        "Circle of fifths",
        (),
        tuple(blanks),
        figure=Circle(),
    )


FAMILY = Family("circle-of-fifths", "Circle of fifths", ("major", "minor"), {}, make, by="")
