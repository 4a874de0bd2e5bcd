"""Pitches and intervals: a pitch is a note as spelled, with its letter, signs and octave.

In: names in scientific pitch notation. Out: ``Pitch`` values, and text for files and pages.
The tests compare sums of pitches and intervals, and the names of intervals, with those of
abjad and music21.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

LETTERS = "CDEFGAB"
_SCIENTIFIC = re.compile(r"([A-Ga-g])(#{0,2}|b{0,2})(-?\d+)\Z")
_SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_NATURAL = (0, 2, 4, 5, 7, 9, 11)


class Pitch(NamedTuple):
    """A spelled pitch: ``octave`` of scientific pitch notation (B♯3 is in octave 3), ``step`` 0
    (C) to 6 (B), ``signs`` in semitones from -2 (𝄫) to 2 (𝄪). Sorts by staff degree.
    """

    octave: int
    step: int
    signs: int

    def __str__(self) -> str:
        return scientific(self)


@cache
def pitch(name: str) -> Pitch:
    """The pitch of a name in scientific pitch notation.

    >>> scientific(pitch("F##5"))
    'F##5'

    Raises ValueError for a name that is not a letter, at most two signs and an octave.
    """
    match = _SCIENTIFIC.match(name)
    if not match:
        raise ValueError(f"{name!r} is not a pitch name such as C4, F##5 or Bb3")
    signs = match[2].count("#") - match[2].count("b")
    return Pitch(int(match[3]), LETTERS.index(match[1].upper()), signs)


def letter(p: Pitch) -> str:
    """The note letter, ``"C"`` to ``"B"``."""
    return LETTERS[p.step]


def alteration(p: Pitch) -> int:
    """Semitones by which the signs alter the note: -2 (𝄫) to 2 (𝄪)."""
    return p.signs


def octave(p: Pitch) -> int:
    """The octave of scientific pitch notation, as spelled (B♯3 is in octave 3)."""
    return p.octave


def semitone(p: Pitch) -> int:
    """Semitones above C4; the same number is the same piano key."""
    return 12 * (p.octave - 4) + _NATURAL[p.step] + p.signs


def staff_degree(p: Pitch) -> int:
    """Diatonic steps above C0, whatever the signs: lines and spaces of the staff."""
    return 7 * p.octave + p.step


@cache
def scientific(p: Pitch) -> str:
    """The name in scientific pitch notation, in ASCII: ``F##5``, ``Cb4``."""
    return f"{LETTERS[p.step]}{'#' * p.signs}{'b' * -p.signs}{p.octave}"


def note_name(p: Pitch) -> str:
    """The note as text for a page, without its octave: ``F𝄪``, ``C♭``."""
    return LETTERS[p.step] + _SIGNS[p.signs]


def is_black(p: Pitch) -> bool:
    """Whether the pitch is a black key of the keyboard."""
    return semitone(p) % 12 in {1, 3, 6, 8, 10}


@cache
def above(p: Pitch, interval: str) -> Pitch:
    """The pitch ``interval`` above ``p`` ("m3", "P5", "A4", "M9"), or below it ("-P8").

    Raises ValueError if its spelling needs more than two signs, or if ``interval`` is not the
    name of an interval.
    """
    match = _INTERVAL.match(interval)
    if not match or int(match[3]) < 1:
        raise ValueError(f"{interval!r} is not an interval such as m3, P5 or -P8")
    steps = int(match[3]) - 1
    wide = 12 * (steps // 7) + _NATURAL[steps % 7] + _alteration(match[2], steps)
    if match[1]:
        steps, wide = -steps, -wide
    octave, step = divmod(staff_degree(p) + steps, 7)
    plain = Pitch(octave, step, 0)
    signs = semitone(p) + wide - semitone(plain)
    if abs(signs) > 2:
        raise ValueError(f"{interval} from {p} has more than two signs")
    return plain._replace(signs=signs)


_INTERVAL = re.compile(r"(-?)(P|M|m|A+|d+)(\d+)\Z")
_PERFECT = frozenset((0, 3, 4))
"""Steps, without octaves, of the intervals that are perfect, not major or minor."""


def _alteration(quality: str, steps: int) -> int:
    """Semitones by which ``quality`` differs from the major or perfect interval of ``steps``."""
    perfect = steps % 7 in _PERFECT
    if (quality == "P") != perfect and quality in "PMm":
        raise ValueError(f"no interval of {steps} steps has the quality {quality}")
    if quality[0] == "A":
        return len(quality)
    if quality[0] == "d":
        return -len(quality) - (not perfect)
    return -1 if quality == "m" else 0


@cache
def interval_name(low: Pitch, high: Pitch) -> str:
    """The interval from ``low`` up to ``high``, quality and number: ``"m6"``, ``"A4"``, ``"P8"``;
    if ``high`` is written below ``low``, the interval down to it.
    """
    if (staff_degree(high), semitone(high)) < (staff_degree(low), semitone(low)):
        low, high = high, low
    steps = staff_degree(high) - staff_degree(low)
    wide = semitone(high) - semitone(low) - 12 * (steps // 7) - _NATURAL[steps % 7]
    if steps % 7 in _PERFECT:
        quality = "A" * wide if wide > 0 else "d" * -wide or "P"
    else:
        quality = "A" * wide if wide > 0 else {0: "M", -1: "m"}.get(wide) or "d" * (-wide - 1)
    return f"{quality}{steps + 1}"
