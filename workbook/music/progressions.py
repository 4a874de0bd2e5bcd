"""Cadential progressions in close position, found by voice leading.

Common tones stay, every other voice takes the nearest chord tone: of all close
voicings of the next chord, the one with the least motion. V7 is the three-note
keyboard form without the fifth.
"""

from __future__ import annotations

from itertools import permutations

from workbook.music.chords import Harmony, harmony
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, octave, semitone

FULL = ("I", "IV", "I", "V7", "I")
SHORT = ("I", "V7", "I")


def voicings(chord: Harmony, around: int) -> list[tuple[Pitch, ...]]:
    """All close three-note voicings whose notes lie in octaves near ``around``.

    Each is low to high within one octave, with every tone of the chord once
    (V7: root, third and seventh).
    """
    found = []
    for at in (around - 2, around - 1, around, around + 1):
        tones = chord.tones(at)
        if len(tones) == 4:
            tones = tones[:2] + tones[3:]
        for order in permutations(tones):
            voicing = [order[0]]
            for tone in order[1:]:
                while semitone(tone) < semitone(voicing[-1]):
                    tone = above(tone, "P8")
                while semitone(tone) - 12 > semitone(voicing[-1]):
                    tone = above(tone, "-P8")
                voicing.append(tone)
            if semitone(voicing[-1]) - semitone(voicing[0]) < 12 and tuple(voicing) not in found:
                found.append(tuple(voicing))
    return found


def motion(a: tuple[Pitch, ...], b: tuple[Pitch, ...]) -> tuple[int, int, int]:
    """How far the voices move, least first: semitones in all, moving voices, widest."""
    steps = [abs(semitone(y) - semitone(x)) for x, y in zip(a, b)]
    return sum(steps), sum(step > 0 for step in steps), max(steps)


def lead(start: tuple[Pitch, ...], chords: tuple[Harmony, ...]) -> tuple[tuple[Pitch, ...], ...]:
    """``start`` and then, for each chord, its voicing nearest to the one before."""
    line = [start]
    for chord in chords:
        here = line[-1]
        line.append(min(voicings(chord, octave(here[0])),
                        key=lambda v: (motion(here, v), [semitone(p) for p in v])))
    return tuple(line)


def progression(key: Key, numerals: tuple[str, ...], at: int
                ) -> tuple[tuple[Harmony, tuple[Pitch, ...]], ...]:
    """Each chord of ``numerals`` with its voicing, from root position in octave ``at``."""
    chords = tuple(harmony(key, numeral) for numeral in numerals)
    return tuple(zip(chords, lead(chords[0].tones(at), chords[1:])))
