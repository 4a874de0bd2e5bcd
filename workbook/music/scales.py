"""Scales: seven degrees above a tonic, and the run up and down.

Forms of the minor scale: ``natural`` follows the signature, ``harmonic`` raises
the seventh degree, ``melodic`` raises the sixth and seventh going up and is the
natural form going down.
"""

from __future__ import annotations

from functools import cache

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, semitone

MINOR_FORMS = ("natural", "harmonic", "melodic")

_STEPS = {
    "major": ("P1", "M2", "M3", "P4", "P5", "M6", "M7"),
    "natural": ("P1", "M2", "m3", "P4", "P5", "m6", "m7"),
    "harmonic": ("P1", "M2", "m3", "P4", "P5", "m6", "M7"),
    "melodic": ("P1", "M2", "m3", "P4", "P5", "M6", "M7"),
}


def forms(key: Key) -> tuple[str, ...]:
    """The forms of scale a key has: ``("major",)`` or the three minor ones."""
    return MINOR_FORMS if key.minor else ("major",)


@cache
def ascending(key: Key, form: str, octave: int, octaves: int = 1) -> tuple[Pitch, ...]:
    """``7 * octaves + 1`` pitches from the tonic in ``octave`` upwards.

    Raises ValueError if the key has no such form.
    """
    if form not in forms(key):
        raise ValueError(f"{key} has no {form} scale")
    return tuple(
        above(key.tonic_in(octave + turn), step) for turn in range(octaves) for step in _STEPS[form]
    ) + (key.tonic_in(octave + octaves),)


def from_degree(key: Key, form: str, start: int, octave: int) -> tuple[Pitch, ...]:
    """Eight pitches up from degree ``start`` (1 to 7) of the scale whose tonic is in ``octave``."""
    return ascending(key, form, octave, 2)[start - 1 : start + 7]


def descending(key: Key, form: str, octave: int, octaves: int = 1) -> tuple[Pitch, ...]:
    """The same run from the top tonic down to the tonic in ``octave``."""
    down = "natural" if form == "melodic" else form
    return ascending(key, down, octave, octaves)[::-1]


def from_degree_down(key: Key, form: str, start: int, octave: int) -> tuple[Pitch, ...]:
    """The eight pitches of ``from_degree`` downwards, with the scale's form going down."""
    down = "natural" if form == "melodic" else form
    return from_degree(key, down, start, octave)[::-1]


def degree(key: Key, number: int, octave: int) -> Pitch:
    """Degree 1 to 7 for chords: the seventh is raised in minor (harmonic form)."""
    return ascending(key, "harmonic" if key.minor else "major", octave)[number - 1]


def chromatic(key: Key, octave: int, octaves: int = 1) -> tuple[Pitch, ...]:
    """The chromatic scale from the tonic up and down again, ``24 * octaves + 1`` pitches.

    Between two degrees a whole step apart (major scale, natural minor) the lower one is
    raised going up and the upper one lowered going down; but going down in minor, a white
    key is written as a natural (B, not C♭, in C minor: its own raised degrees). Common
    practice, no source.
    """
    form = "natural" if key.minor else "major"
    up = _filled(ascending(key, form, octave, octaves), "A1")
    down = _filled(descending(key, form, octave, octaves), "-A1", naturals=key.minor)
    return up + down[1:]


def _filled(
    degrees: tuple[Pitch, ...], half_step: str, naturals: bool = False
) -> tuple[Pitch, ...]:
    found = [degrees[0]]
    for before, after in zip(degrees, degrees[1:]):
        if abs(semitone(after) - semitone(before)) == 2:
            between, other = above(before, half_step), above(after, "A1")
            found.append(other if naturals and not other.signs else between)
        found.append(after)
    return tuple(found)
