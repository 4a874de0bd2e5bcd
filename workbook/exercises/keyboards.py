"""Drawn keyboards: which keys an exercise is about, and how far the keyboard reaches.

In: a request's key and settings. Out: pitches, and two octaves from a C.
"""

from __future__ import annotations

from workbook.exercises.figures import Keyboard
from workbook.exercises.model import Request
from workbook.music import scales
from workbook.music.chords import Harmony, inversion, qualities
from workbook.music.pitch import Pitch, pitch, semitone

TRIADS = {"tonic triad": 1, "subdominant triad": 4, "dominant triad": 5}
"""The degree of the root; in minor the dominant has the leading tone."""


def scale(request: Request) -> tuple[Pitch, ...]:
    """Eight notes going up, in the form of the request."""
    return scales.ascending(request.key, request.settings["forms"], 4)


def scale_words(request: Request) -> str:
    """``"C harmonic minor scale"``, in a major key ``"C major scale"``."""
    return f"{request.naming.key(request.key, request.settings['forms'])} scale"


def triad(request: Request, name: str, turn: int = 0) -> tuple[Pitch, ...]:
    """A triad of ``TRIADS``, ``turn`` 0 for root position, 1 or 2 for an inversion."""
    degree = TRIADS[name]
    chord = Harmony(request.key, degree, qualities(request.key.mode, degree, False)[0])
    return inversion(chord.tones(4), turn)


def lowest_c(notes: tuple[Pitch, ...]) -> int:
    """The octave of the C at or below the lowest key of ``notes``."""
    return 4 + min(map(semitone, notes)) // 12


def two_octaves(
    octave: int, marked: tuple[Pitch, ...] = (), shaded: tuple[Pitch, ...] = ()
) -> Keyboard:
    """Two octaves up from the C of ``octave``."""
    return Keyboard(pitch(f"C{octave}"), pitch(f"C{octave + 2}"), marked, shaded)
