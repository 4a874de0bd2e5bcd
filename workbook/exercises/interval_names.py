"""Intervals as text: the answers for a name such as ``"m6"``, and the names that can be asked.

In: names as ``music.pitch.interval_name`` gives them. Out: answers for boxes. The letters
M, m, P, A, d and the longer names are common practice, no source.
"""

from __future__ import annotations

NATURAL = ("m2", "M2", "m3", "M3", "P4", "P5", "m6", "M6", "m7", "M7", "P8")
"""Major, minor and perfect intervals up to the octave."""
ALTERED = ("A2", "d4", "A4", "d5", "A5", "A6", "d7")
"""The augmented and diminished intervals that occur in a key: those of the harmonic minor
scale, and the augmented sixth."""

_ORDINALS = {
    "1": ("1st", "unison", "prime"),
    "2": ("2nd", "second"),
    "3": ("3rd", "third"),
    "4": ("4th", "fourth"),
    "5": ("5th", "fifth"),
    "6": ("6th", "sixth"),
    "7": ("7th", "seventh"),
    "8": ("8ve", "8th", "octave"),
    "9": ("9th", "ninth"),
    "10": ("10th", "tenth"),
    "11": ("11th", "eleventh"),
    "12": ("12th", "twelfth"),
}
_QUALITY = {
    "M": ("maj", "major"),
    "m": ("min", "minor"),
    "P": ("perf", "perfect"),
    "A": ("aug", "augmented"),
    "d": ("dim", "diminished"),
}
_SIGNS = {"A": "+", "d": "°"}


def answers(name: str, quality: bool) -> tuple[str, tuple[str, ...]]:
    """The answer to an interval such as ``"m6"``, and what else is accepted.

    Without its ``quality`` that is the number: ``"6"``, 6th, sixth. With it: min6, min 6th,
    min sixth, minor 6, minor 6th, minor sixth.
    """
    number, ordinals = name[1:], _ORDINALS[name[1:]]
    if not quality:
        return number, ordinals
    short, long = _QUALITY[name[0]]
    also = [short + number, *(f"{short} {one}" for one in ordinals)]
    also += [f"{long} {one}" for one in (number, *ordinals)]
    sign = _SIGNS.get(name[0])
    return name, (*also, *(sign + one for one in (number, *ordinals[:-1]) if sign))
