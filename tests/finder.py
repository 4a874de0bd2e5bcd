"""The numeral finder: which chord of a key some notes are.

In: a key and pitches, the lowest one the bass. Out: the ``Harmony`` with its
inversion. It goes by spelling: G♯ is no A♭, so a diminished seventh has one root.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from workbook.music.chords import Harmony, harmony, qualities
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, alteration, letter, semitone

_APPLIED = {
    5: ("major", "dominant seventh"),
    7: ("diminished", "half-diminished seventh", "diminished seventh"),
}

Name = tuple[str, int]
"""Letter and alteration: a note without its octave."""


def vocabulary(key: Key) -> tuple[Harmony, ...]:
    """Every chord of a key in root position, the mode's own first, then the applied.

    Dominants of a minor v are those of V.
    """
    own, less = [], []
    for degree in range(1, 8):
        for seventh in (False, True):
            first, *others = (
                Harmony(key, degree, name) for name in qualities(key.mode, degree, seventh)
            )
            own.append(first)
            less += others
    goals = [
        chord for chord in (*own, *less) if chord.degree > 1 and chord.quality in ("major", "minor")
    ]
    applied = [
        Harmony(key, degree, name, 0, goal.numeral)
        for goal in goals
        if goal.numeral != "v" and harmony(key, goal.numeral) == goal
        for degree, names in _APPLIED.items()
        for name in names
        if goal.quality == "major" or name != "half-diminished seventh"
    ]
    return (*own, *less, *applied)


def candidates(key: Key, pitches: Iterable[Pitch]) -> tuple[Harmony, ...]:
    """Every reading of the notes as a chord of the key, the likeliest first.

    Octaves and doublings do not matter. The key's own chords come before
    applied dominants, complete chords before those that leave out the fifth,
    and a triad without its fifth before such a seventh chord. Empty if the
    notes are no chord that the key knows.
    """
    notes = sorted(pitches, key=semitone)
    if not notes:
        return ()
    return _table(key).get((frozenset(map(_name, notes)), _name(notes[0])), ())


def find(key: Key, pitches: Iterable[Pitch], following: Harmony | None = None) -> Harmony | None:
    """The likeliest reading, or None.

    A chord that is not the mode's own is read as the applied dominant of
    ``following``, the chord that comes next, if it can be: in minor VII7 before
    III is V7/III, but before i it is VII7.
    """
    found = candidates(key, pitches)
    if following and found and not _own(found[0]):
        for chord in found:
            if chord.target and harmony(key, chord.target).root(4) == following.root(4):
                return chord
    return found[0] if found else None


def analysis(key: Key, chords: Sequence[Iterable[Pitch]]) -> tuple[Harmony | None, ...]:
    """The reading of each chord of a progression, in the light of the one after it."""
    found: list[Harmony | None] = []
    for pitches in reversed(chords):
        found.append(find(key, pitches, found[-1] if found else None))
    return tuple(reversed(found))


def _name(p: Pitch) -> Name:
    return letter(p), alteration(p)


def _own(chord: Harmony) -> bool:
    """Whether the chord is the one that the mode gives its degree."""
    own = qualities(chord.key.mode, chord.degree, chord.kind.seventh)[0]
    return not chord.target and chord.quality == own


@cache
def _table(key: Key) -> dict[tuple[frozenset[Name], Name], tuple[Harmony, ...]]:
    """The readings by (notes, bass)."""
    table: dict[tuple[frozenset[Name], Name], list[Harmony]] = {}
    for fifth in (True, False):
        chords = [
            chord
            for chord in vocabulary(key)
            if fifth or chord.quality in ("major", "minor", "dominant seventh")
        ]
        # Without its fifth a triad is the simpler reading of what is there.
        for chord in chords if fifth else sorted(chords, key=lambda c: c.kind.seventh):
            names = [_name(p) for p in chord.tones(4)]
            for number, bass in enumerate(names):
                if fifth or number != 2:
                    notes = frozenset(names if fifth else names[:2] + names[3:])
                    table.setdefault((notes, bass), []).append(replace(chord, inversion=number))
    return {notes: tuple(found) for notes, found in table.items()}
