"""Scales: the seven degrees above a tonic, and runs up and down.

Forms of the minor scale: ``natural`` follows the key signature, ``harmonic`` raises the
seventh degree, ``melodic`` raises the sixth and seventh going up and is natural going down.
"""

from __future__ import annotations

from functools import cache

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, is_black, semitone

MINOR_FORMS = ("natural", "harmonic", "melodic")

_STEPS = {
    "major": ("P1", "M2", "M3", "P4", "P5", "M6", "M7"),
    "natural": ("P1", "M2", "m3", "P4", "P5", "m6", "m7"),
    "harmonic": ("P1", "M2", "m3", "P4", "P5", "m6", "M7"),
    "melodic": ("P1", "M2", "m3", "P4", "P5", "M6", "M7"),
}


def scale_forms(key: Key) -> tuple[str, ...]:
    """The forms of scale a key has: ``("major",)`` or the three minor ones."""
    return MINOR_FORMS if key.minor else ("major",)


@cache
def ascending(key: Key, form: str, octave: int, octaves: int = 1) -> tuple[Pitch, ...]:
    """``7 * octaves + 1`` pitches up from the tonic in ``octave``.

    Raises ValueError if the key has no such form.
    """
    if form not in scale_forms(key):
        raise ValueError(f"{key} has no {form} scale")
    tonics = [key.tonic_in(octave + number) for number in range(octaves + 1)]
    return (*(above(tonic, step) for tonic in tonics[:-1] for step in _STEPS[form]), tonics[-1])


def from_degree(key: Key, form: str, start: int, octave: int) -> tuple[Pitch, ...]:
    """Eight pitches up from degree ``start`` (1 to 7) of the scale whose tonic is in ``octave``."""
    return ascending(key, form, octave, 2)[start - 1 : start + 7]


def descending(key: Key, form: str, octave: int, octaves: int = 1) -> tuple[Pitch, ...]:
    """The run of ``ascending`` from its top down, with the form of the scale going down."""
    down = "natural" if form == "melodic" else form
    return ascending(key, down, octave, octaves)[::-1]


def from_degree_down(key: Key, form: str, start: int, octave: int) -> tuple[Pitch, ...]:
    """The eight pitches of ``from_degree`` from the top down, with the form going down."""
    down = "natural" if form == "melodic" else form
    return from_degree(key, down, start, octave)[::-1]


def degree(key: Key, number: int, octave: int) -> Pitch:
    """Degree 1 to 7 as chords have it: in minor the seventh is raised (harmonic form)."""
    return ascending(key, "harmonic" if key.minor else "major", octave)[number - 1]


@cache
def chromatic(tonic: Pitch, octaves: int = 1) -> tuple[Pitch, ...]:
    """The chromatic scale from ``tonic`` up and down again, ``24 * octaves + 1`` pitches.

    White keys are naturals, black keys sharp going up and flat going down; from a sharp or a
    flat, all are so both ways, and the tonic keeps its name. Common practice, no source.
    """
    up, down = (tonic.signs or 1), (tonic.signs or -1)
    count = 12 * octaves
    return (
        *(_on_key(tonic, half_steps, up) for half_steps in range(count + 1)),
        *(_on_key(tonic, half_steps, down) for half_steps in range(count - 1, -1, -1)),
    )


def _on_key(tonic: Pitch, half_steps: int, sign: int) -> Pitch:
    """The pitch on the piano key so far above ``tonic``, a black one with ``sign`` 1 or -1."""
    number, over = divmod(half_steps, 12)
    if not over:
        return tonic._replace(octave=tonic.octave + number)
    here = semitone(tonic) + half_steps
    found = (
        Pitch(at, step, signs)
        for signs in (0, sign)
        for at in range(tonic.octave, tonic.octave + number + 2)
        for step in range(7)
    )
    return next(p for p in found if semitone(p) == here)


@cache
def whole_tone(tonic: Pitch, sign: int = 1) -> tuple[tuple[Pitch, ...], ...]:
    """The whole-tone scale from ``tonic`` up, seven pitches, in each spelling without double
    signs, the plainest first.

    Six whole steps fill the octave, so five go to the next letter and one leaves a letter out:
    a diminished third. Plain is what needs no signed name of a white key, does not mix sharps
    and flats, and has signs like the tonic's, or else ``sign`` (1 for ♯, -1 for ♭), and the
    diminished third late. Common practice, no source.
    """
    found = []
    for gap in range(5, -1, -1):
        notes = [tonic]
        try:
            for step in range(6):
                notes.append(above(notes[-1], "d3" if step == gap else "M2"))
        except ValueError:  # more than two signs
            continue
        if all(abs(p.signs) < 2 for p in notes):
            found.append(tuple(notes))
    liked = tonic.signs or sign

    def plainness(notes: tuple[Pitch, ...]) -> tuple[int, bool, int]:
        signed = [p for p in notes[1:-1] if p.signs]
        white = sum(not is_black(p) for p in signed)
        return white, len({p.signs for p in signed}) > 1, sum(p.signs != liked for p in signed)

    return tuple(sorted(found, key=plainness))
