"""Voicings: the ways to set one chord, as shapes.

In: a chord and a style. Out: voicings, each a tuple of tones low to high, with
what they cost. In "close" style one hand has the whole chord within an octave.
In "keyboard" style the left hand has the bass and the right hand three voices
within an octave (Open Music Theory, "Composing in basso-continuo style").
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations

from workbook.music.chords import Harmony
from workbook.music.shapes import Tone, chroma, plus, tones

STYLES = ("close", "keyboard")
INCOMPLETE, DOUBLED, DOUBLED_LEAST, UNASKED = 12, 4, 8, 60
"""What a triad without its fifth, another doubling than the usual one, the doubling
of degree 3, 6, 7 or an altered note, and a V7 with or without its fifth against
the teacher's wish cost, in semitones of motion. The figures are
ours; which doublings are usual is from the same chapter."""


@dataclass(frozen=True)
class Voicing:
    """Voices low to high, in keyboard style the bass first; ``cost`` in semitones."""

    voices: tuple[Tone, ...]
    cost: int = 0


@cache
def leading_tone(chord: Harmony) -> tuple[Tone, Tone] | None:
    """The leading tone that a dominant chord holds and the tonic it goes to, as chromas.

    An applied dominant has those of its target. None for any other chord.
    """
    found = tones(chord)
    if chord.degree == 5 and chord.kind.upper:
        third = found[1]
        return third, chroma((third[0] + 1, third[1] + 1))
    if chord.degree == 7 and chord.kind.sign in ("°", "ø"):
        return found[0], chroma((found[0][0] + 1, found[0][1] + 1))
    return None


@cache
def close(chord: Harmony, fifth: bool, low: int, high: int) -> tuple[Voicing, ...]:
    """All close voicings whose lowest note is ``low`` to ``high`` semitones from the tonic.

    A dominant seventh has three notes without ``fifth``, else four; the other
    way costs more, and with the fifth in the bass it is not left out. A chord
    with figures has its bass note lowest, one without may have any of its notes.
    """
    found = []
    for notes, cost in _sets(chord, fifth):
        for number, lowest in enumerate(notes):
            if chord.inversion and lowest != tones(chord)[chord.inversion]:
                continue
            rest = notes[number + 1 :] + notes[:number]
            for octave in range(low // 12 - 1, high // 12 + 2):
                bottom = plus(lowest, octave)
                if low <= bottom[1] <= high:
                    found.append(Voicing((bottom, *(_above(bottom, note) for note in rest)), cost))
    return tuple(found)


def _sets(chord: Harmony, fifth: bool) -> list[tuple[tuple[Tone, ...], int]]:
    """The notes that may be there, root first, and what they cost."""
    notes = tones(chord)
    if chord.quality != "dominant seventh":
        return [(notes, 0)]
    short = [(notes[:2] + notes[3:], UNASKED * fifth)] if chord.inversion != 2 else []
    return [(notes, UNASKED * (not fifth and bool(short))), *short]


def _above(low: Tone, note: Tone) -> Tone:
    """``note`` in the octave above ``low``."""
    octave = (low[0] - note[0]) // 7
    found = plus(note, octave)
    while found[0] <= low[0]:
        found = plus(found, 1)
    return found


@cache
def keyboard(chord: Harmony, fifth: bool, low: int, high: int) -> tuple[Voicing, ...]:
    """All keyboard voicings; ``low`` to ``high`` bounds the lowest note of the right hand.

    The bass lies below the right hand, up to two octaves from it. Every note
    of the chord is there, except that a triad or dominant seventh in root
    position may lack the fifth. Neither the leading tone nor a seventh is doubled.
    """
    bass = tones(chord)[chord.inversion]
    found = []
    for upper, cost in _upper(chord, fifth):
        for octave in range(low // 12 - 1, high // 12 + 2):
            hand = tuple(plus(tone, octave) for tone in upper)
            if low <= hand[0][1] <= high:
                found += [
                    Voicing((plus(bass, below), *hand), cost)
                    for below in range(octave - 3, octave + 2)
                    if 0 < hand[0][1] - plus(bass, below)[1] <= 24
                ]
    return tuple(found)


def _upper(chord: Harmony, fifth: bool) -> list[tuple[tuple[Tone, ...], int]]:
    """Right hands of three notes within an octave, from any chord tone up, with their cost."""
    notes, bass = tones(chord), tones(chord)[chord.inversion]
    single = set(leading_tone(chord)[:1]) if leading_tone(chord) else set()
    single.update(notes[3:])
    found = []
    for lowest in notes:
        ladder = [_above(lowest, note) for note in notes if note != lowest]
        for pair in combinations(sorted(ladder) + [plus(lowest, 1)], 2):
            voices = [bass, *map(chroma, (lowest, *pair))]
            missing = [note for note in notes if note not in voices]
            if any(voices.count(note) > 1 for note in single):
                continue
            if missing and (chord.inversion or missing != [notes[2]] or not _may_lack(chord)):
                continue
            found.append(
                ((lowest, *pair), _doubling(chord, voices) + _lack(chord, bool(missing), fifth))
            )
    return found


def _may_lack(chord: Harmony) -> bool:
    return chord.quality in ("major", "minor", "dominant seventh")


def _lack(chord: Harmony, lacks: bool, fifth: bool) -> int:
    """What it costs that the fifth is or is not there."""
    if chord.quality != "dominant seventh":
        return INCOMPLETE * lacks
    against = lacks == fifth and not chord.inversion
    return against * (INCOMPLETE if chord.target else UNASKED)


def _doubling(chord: Harmony, voices: list[Tone]) -> int:
    """What the doubling costs: none for the usual one, more for degree 3, 6, 7 or an
    altered note. The bass is doubled, but in first inversion only if it is 1, 2, 4 or 5.
    """
    fixed = {(0, 0), (1, 2), (3, 5), (4, 7)}
    bass, cost = voices[0], 0
    usual = bass if chord.inversion != 1 or bass in fixed else None
    for note in set(voices):
        if voices.count(note) > 1 and note != usual:
            cost += DOUBLED if note in fixed else DOUBLED_LEAST
    return cost
