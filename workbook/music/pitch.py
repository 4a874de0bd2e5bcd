"""Pitches: scientific names in, ``Pitch`` values through, scientific names out.

A pitch is a note as spelled: letter, signs, octave. Sums of pitches and intervals
are abjad's; its accessors are properties up to 3.19 (the last for Python 3.11)
and methods from 3.2x on, which only this module knows.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

LETTERS = "CDEFGAB"
_SCIENTIFIC = re.compile(r"([A-Ga-g])(#{0,2}|b{0,2})(-?\d+)\Z")
_SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_NATURAL = (0, 2, 4, 5, 7, 9, 11)


class Pitch(NamedTuple):
    """A spelled pitch: ``octave`` of scientific notation (B♯3 is in octave 3), ``step``
    0 (C) to 6 (B), ``signs`` in semitones from -2 (𝄫) to 2 (𝄪). Sorts by staff degree."""

    octave: int
    step: int
    signs: int

    def __str__(self) -> str:
        return scientific(self)


@lru_cache(maxsize=None)
def pitch(name: str) -> Pitch:
    """The pitch that scientific notation names.

    >>> scientific(pitch("F##5"))
    'F##5'

    Raises ValueError for a name that is not letter, at most two signs, octave.
    """
    match = _SCIENTIFIC.match(name)
    if not match:
        raise ValueError(f"{name!r} is no pitch name such as C4, F##5 or Bb3")
    signs = match[2].count("#") - match[2].count("b")
    return Pitch(int(match[3]), LETTERS.index(match[1].upper()), signs)


def letter(p: Pitch) -> str:
    """The note letter, ``"C"`` to ``"B"``."""
    return LETTERS[p.step]


def alteration(p: Pitch) -> int:
    """Semitones by which the signs move the letter: -2 (𝄫) to 2 (𝄪)."""
    return p.signs


def octave(p: Pitch) -> int:
    """The octave of scientific notation as spelled (B♯3 is in octave 3)."""
    return p.octave


def semitone(p: Pitch) -> int:
    """Semitones above C4, so that equal numbers mean the same piano key."""
    return 12 * (p.octave - 4) + _NATURAL[p.step] + p.signs


def staff_degree(p: Pitch) -> int:
    """Diatonic steps above C0: lines and spaces, whatever the signs."""
    return 7 * p.octave + p.step


def scientific(p: Pitch) -> str:
    """ASCII scientific notation as printed: ``F##5``, ``Cb4``."""
    return f"{LETTERS[p.step]}{'#' * p.signs}{'b' * -p.signs}{p.octave}"


def note_name(p: Pitch) -> str:
    """The note as text on the page, without octave: ``F𝄪``, ``C♭``."""
    return LETTERS[p.step] + _SIGNS[p.signs]


def is_black(p: Pitch) -> bool:
    """Whether the pitch lies on a black key of the keyboard."""
    return semitone(p) % 12 in {1, 3, 6, 8, 10}


@lru_cache(maxsize=None)
def above(p: Pitch, interval: str) -> Pitch:
    """The pitch that lies ``interval`` ("m3", "P5", "M7") above ``p``; "-P8" below.

    Raises ValueError if its spelling would need more than two signs.
    """
    # the sum depends on the octave in nothing but the octave
    found = _sum(p.step, p.signs, interval)
    return found._replace(octave=found.octave + p.octave - 4)


@lru_cache(maxsize=None)
def _sum(step: int, signs: int, interval: str) -> Pitch:
    import abjad  # late: it takes a quarter of a second
    start = abjad.NamedPitch(scientific(Pitch(4, step, signs)))
    sign = interval if interval.startswith("-") else "+" + interval
    return _read(start + abjad.NamedInterval(sign))


_LILYPOND = re.compile(r"([a-g])(s*|f*)('*|,*)\Z")


def _value(attribute):
    return attribute() if callable(attribute) else attribute


def _read(p) -> Pitch:
    match = _LILYPOND.match(_value(p.name))
    if not match or len(match[2]) > 2:
        raise ValueError(f"{p!r} has more than two signs or is no semitone pitch")
    signs = match[2].count("s") - match[2].count("f")
    octaves = match[3].count("'") - match[3].count(",")
    return Pitch(3 + octaves, LETTERS.index(match[1].upper()), signs)


@lru_cache(maxsize=None)
def interval_name(low: Pitch, high: Pitch) -> str:
    """Quality and number from ``low`` up to ``high``: ``"m6"``, ``"A4"``, ``"P8"``."""
    return _name(low._replace(octave=4), high._replace(octave=4 + high.octave - low.octave))


@lru_cache(maxsize=None)
def _name(low: Pitch, high: Pitch) -> str:
    import abjad
    found = _value(abjad.NamedInterval.from_pitch_carriers(
        abjad.NamedPitch(scientific(low)), abjad.NamedPitch(scientific(high))).name)
    return found.lstrip("+-")
