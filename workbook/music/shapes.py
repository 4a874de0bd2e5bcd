"""Shapes: music measured from the tonic, so that one solution serves every key.

A tone is (steps, semitones) above the tonic: in C, E is (2, 4) and the B♭ below is
(-1, -2). What is right in one key is right in all keys of the same mode, so the search for
voice leading works on shapes and is done once.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from workbook.music.chords import Harmony
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, pitch, semitone, staff_degree

Tone = tuple[int, int]
_C4 = pitch("C4")


def plus(tone: Tone, octaves: int) -> Tone:
    """The tone ``octaves`` octaves higher."""
    return tone[0] + 7 * octaves, tone[1] + 12 * octaves


def chroma(tone: Tone) -> Tone:
    """The tone moved into the octave above the tonic: which note it is, in any octave."""
    return plus(tone, -(tone[0] // 7))


@cache
def tones(chord: Harmony) -> tuple[Tone, ...]:
    """The notes of a chord from the root up, as chromas."""
    in_c = replace(chord, key=Key("C", chord.key.mode))
    return tuple(
        chroma((staff_degree(p) - staff_degree(_C4), semitone(p) - semitone(_C4)))
        for p in in_c.tones(4)
    )


@cache
def sound(key: Key, octave: int, tone: Tone) -> Pitch:
    """The pitch of a tone above the tonic in ``octave``.

    Raises ValueError if it needs more than two signs.
    """
    tonic = key.tonic_in(octave)
    natural = Pitch(*divmod(staff_degree(tonic) + tone[0], 7), 0)
    signs = semitone(tonic) + tone[1] - semitone(natural)
    if abs(signs) > 2:
        raise ValueError(f"{tone} in {key} needs {abs(signs)} signs")
    return natural._replace(signs=signs)
