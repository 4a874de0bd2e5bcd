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
    "2": ("2nd",),
    "3": ("3rd",),
    "4": ("4th",),
    "5": ("5th",),
    "6": ("6th",),
    "7": ("7th",),
    "8": ("8ve", "8th"),
}
_QUALITY = {
    "M": ("maj ", "major "),
    "m": ("min ", "minor "),
    "P": ("perf ", "perfect "),
    "A": ("aug ", "augmented ", "+"),
    "d": ("dim ", "diminished ", "°"),
}


def answers(name: str, quality: bool) -> tuple[str, tuple[str, ...]]:
    """The answer to an interval such as ``"m6"``, and what else is accepted."""
    number, ordinals = name[1:], _ORDINALS[name[1:]]
    if not quality:
        return number, ordinals
    return name, tuple(word + end for word in _QUALITY[name[0]] for end in (number, *ordinals))
