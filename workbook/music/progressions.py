"""Progressions: chords named by numerals, set for one hand or for two.

In: a key and numerals. Out: the chords with their notes, as ``voice_leading`` leads them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from workbook.music import numerals, voice_leading
from workbook.music.chords import TRIAD_POSITIONS, Harmony, harmony
from workbook.music.keys import Key
from workbook.music.pitch import Pitch
from workbook.music.shapes import sound

FULL = ("I", "IV", "I", "V7", "I")
SHORT = ("I", "V7", "I")
STARTS = TRIAD_POSITIONS


@dataclass(frozen=True)
class Step:
    """A chord of a progression: its notes from low to high; in keyboard style those of the
    right hand, and the bass.
    """

    harmony: Harmony
    notes: tuple[Pitch, ...]
    bass: Pitch | None = None


@lru_cache(maxsize=1024)
def chords(key: Key, text: str) -> tuple[Harmony, ...]:
    """The chords of a progression such as ``"I vi ii6 V7 I"`` in a key.

    Raises ValueError with a line for each numeral that is not a chord of the key.
    """
    found, wrong = [], []
    for numeral in numerals.split(text):
        try:
            found.append(harmony(key, numeral))
        except ValueError as error:
            wrong.append(str(error))
    if wrong:
        raise ValueError("\n".join(dict.fromkeys(wrong)))
    return tuple(found)


@lru_cache(maxsize=4096)
def lead(
    line: tuple[Harmony, ...],
    at: int,
    style: str = "close",
    start: str = "root",
    fifth: bool = False,
) -> tuple[Step, ...]:
    """The chords ``line`` with their notes; the root of the first is on or above the tonic in
    octave ``at``.

    In keyboard style ``at`` is the octave of the right hand, and the bass begins an octave or
    less below it. Raises ValueError as ``voice_leading.lead`` does.
    """
    key = line[0].key
    led = voice_leading.lead(_in_c(line), style, STARTS.index(start), fifth)
    keyboard = style == "keyboard"
    found = []
    for chord, voices in zip(line, led):
        notes = tuple(sound(key, at, tone) for tone in voices)
        found.append(Step(chord, notes[1:], notes[0]) if keyboard else Step(chord, notes))
    return tuple(found)


def others(
    line: tuple[Harmony, ...], number: int, start: str, fifth: bool = False
) -> tuple[tuple[Pitch, ...], ...]:
    """The other right hands that chord ``number`` of the progression that ``lead`` makes in
    keyboard style may have by the rules, in an octave near middle C.
    """
    in_c = _in_c(line)
    path = voice_leading.lead(in_c, "keyboard", STARTS.index(start), fifth)
    return tuple(
        tuple(sound(line[0].key, 4, tone) for tone in voices[1:])
        for voices in voice_leading.others(in_c, path, number)
    )


@lru_cache(maxsize=4096)
def _in_c(line: tuple[Harmony, ...]) -> tuple[Harmony, ...]:
    """The same chords in C, so that the search is done once for all keys of a mode."""
    return tuple(
        Harmony(
            Key("C", chord.key.mode), chord.degree, chord.quality, chord.inversion, chord.target
        )
        for chord in line
    )
