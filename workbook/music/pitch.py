"""Pitches: scientific names in, abjad pitches through, scientific names out.

abjad's accessors are properties up to 3.19 (the last for Python 3.11) and
methods from 3.2x on; only this module knows that.
"""

from __future__ import annotations

import re
from functools import lru_cache

import abjad

Pitch = abjad.NamedPitch

LETTERS = "CDEFGAB"
_SCIENTIFIC = re.compile(r"([A-Ga-g])(#{0,2}|b{0,2})(-?\d+)\Z")
_LILYPOND = re.compile(r"([a-g])(s*|f*)('*|,*)\Z")
_SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}


def _value(attribute):
    return attribute() if callable(attribute) else attribute


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
    return Pitch(name[0].upper() + name[1:])


@lru_cache(maxsize=None)
def _parts(p: Pitch) -> tuple[str, int, int]:
    match = _LILYPOND.match(_value(p.name))
    if not match:
        raise ValueError(f"{p!r} has more than two signs or is no semitone pitch")
    letter, signs, marks = match.groups()
    alteration = signs.count("s") - signs.count("f")
    return letter.upper(), alteration, 3 + marks.count("'") - marks.count(",")


def letter(p: Pitch) -> str:
    """The note letter, ``"C"`` to ``"B"``."""
    return _parts(p)[0]


def alteration(p: Pitch) -> int:
    """Semitones by which the signs move the letter: -2 (𝄫) to 2 (𝄪)."""
    return _parts(p)[1]


def octave(p: Pitch) -> int:
    """The octave of scientific notation as spelled (B♯3 is in octave 3)."""
    return _parts(p)[2]


def semitone(p: Pitch) -> int:
    """Semitones above C4, so that equal numbers mean the same piano key."""
    return int(_value(p.number))


def staff_degree(p: Pitch) -> int:
    """Diatonic steps above C0: lines and spaces, whatever the signs."""
    return 7 * octave(p) + LETTERS.index(letter(p))


def scientific(p: Pitch) -> str:
    """ASCII scientific notation as printed: ``F##5``, ``Cb4``."""
    name, signs, number = _parts(p)
    return f"{name}{'#' * signs}{'b' * -signs}{number}"


def note_name(p: Pitch) -> str:
    """The note as text on the page, without octave: ``F𝄪``, ``C♭``."""
    return letter(p) + _SIGNS[alteration(p)]


def is_black(p: Pitch) -> bool:
    """Whether the pitch lies on a black key of the keyboard."""
    return semitone(p) % 12 in {1, 3, 6, 8, 10}


@lru_cache(maxsize=None)
def above(p: Pitch, interval: str) -> Pitch:
    """The pitch that lies ``interval`` ("m3", "P5", "M7") above ``p``; "-P8" below."""
    sign = interval if interval.startswith("-") else "+" + interval
    return p + abjad.NamedInterval(sign)


@lru_cache(maxsize=None)
def interval_name(low: Pitch, high: Pitch) -> str:
    """Quality and number from ``low`` up to ``high``: ``"m6"``, ``"A4"``, ``"P8"``."""
    found = _value(abjad.NamedInterval.from_pitch_carriers(low, high).name)
    return found.lstrip("+-")
