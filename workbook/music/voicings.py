"""Voicings: the ways to set one chord, as shapes.

In: a chord and a style. Out: voicings, each a tuple of tones from low to high, and their
costs. In "close" style one hand plays the whole chord within an octave. In "keyboard" style
the left hand plays the bass, and the right hand three voices within an octave (Open Music
Theory, "Composing in basso-continuo style").
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations

from workbook.music.chords import Harmony
from workbook.music.shapes import Tone, chroma, plus, tones

STYLES = ("close", "keyboard")
INCOMPLETE, DOUBLED, DOUBLED_LEAST, UNASKED = 12, 4, 8, 60
"""Costs, in semitones of motion: of a triad without its fifth, of a doubling other than the
usual one, of doubling degree 3, 6, 7 or an altered note, and of a V7 with or without its
fifth against the teacher's wish. The figures are ours; which doublings are usual is from the
same chapter."""


@dataclass(frozen=True)
class Voicing:
    """Voices low to high, in keyboard style the bass first; ``cost`` in semitones."""

    voices: tuple[Tone, ...]
    cost: int = 0


@cache
def leading_tone(chord: Harmony) -> tuple[Tone, Tone] | None:
    """The leading tone in a dominant chord and the tonic it goes to, as chromas.

    In an applied dominant they are those of its target. None for any other chord.
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

    A dominant seventh has three notes, or four with ``fifth``; the other way costs more, and
    a fifth in the bass is not left out. A chord with figures has its bass note lowest; in one
    without, any note may be lowest.
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
    """The sets of notes that may be played, root first, and their costs."""
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
    """All keyboard voicings whose lowest note in the right hand is ``low`` to ``high``
    semitones from the tonic.

    The bass is below the right hand, by two octaves at most. Every note of the chord is
    played, except that a triad or dominant seventh in root position may lack its fifth.
    Neither the leading tone nor a seventh is doubled.
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
    """Three notes of the right hand within an octave, from any chord tone up, and their cost."""
    notes, bass = tones(chord), tones(chord)[chord.inversion]
    leading = leading_tone(chord)
    single = {*notes[3:], *(leading[:1] if leading else ())}
    found: list[tuple[tuple[Tone, ...], int]] = []
    for lowest in notes:
        ladder = [_above(lowest, note) for note in notes if note != lowest]
        for pair in combinations([*sorted(ladder), plus(lowest, 1)], 2):
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
    """The cost of having or lacking the fifth."""
    if chord.quality != "dominant seventh":
        return INCOMPLETE * lacks
    against = lacks == fifth and not chord.inversion
    return against * (INCOMPLETE if chord.target else UNASKED)


def _doubling(chord: Harmony, voices: list[Tone]) -> int:
    """The cost of the doubling: none for the usual one, more for degree 3, 6, 7 or an altered
    note. Usually the bass is doubled, but in first inversion only if it is 1, 2, 4 or 5.
    """
    fixed = {(0, 0), (1, 2), (3, 5), (4, 7)}
    bass, cost = voices[0], 0
    usual = bass if chord.inversion != 1 or bass in fixed else None
    for note in set(voices):
        if voices.count(note) > 1 and note != usual:
            cost += DOUBLED if note in fixed else DOUBLED_LEAST
    return cost
