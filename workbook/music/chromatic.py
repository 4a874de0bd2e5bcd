"""Chromatic chords: the Neapolitan sixth and the augmented sixths, and how they resolve.

Their notes and resolutions are those of Open Music Theory, "The Neapolitan sixth" and
"Augmented sixth chords", from memory: the sixth of an augmented sixth chord opens into an
octave on 5, the Neapolitan's lowered second falls to the leading tone, and the German sixth
goes to the cadential 6/4, because it would make parallel fifths with V.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, staff_degree


@dataclass(frozen=True)
class Chromatic:
    """A chord as intervals above a tonic: its ``bass``, and for each upper voice from a low
    tonic up its note and the one that it goes to. ``goal`` is the numeral of the next chord.
    """

    name: str
    bass: str
    upper: tuple[tuple[str, str], ...]
    goal: str


CHROMATIC = {
    chord.name: chord
    for chord in (
        Chromatic("N6", "P4", (("m2", "-m2"), ("P4", "M2"), ("m6", "P5")), "V"),
        Chromatic("It+6", "m6", (("P1", "M2"), ("A4", "P5"), ("P8", "M7")), "V"),
        Chromatic("Fr+6", "m6", (("P1", "-m2"), ("M2", "M2"), ("A4", "P5")), "V"),
        Chromatic("Ger+6", "m6", (("P1", "P1"), ("m3", "3"), ("A4", "P5")), "I6/4"),
    )
}
"""The interval "3" is the third of the key's own mode."""


def close(key: Key, name: str, octave: int) -> tuple[Pitch, ...]:
    """The chord in close position above its bass; the tonic below the bass is in ``octave``."""
    chord, tonic = CHROMATIC[name], key.tonic_in(octave)
    bass = above(tonic, chord.bass)
    found = {bass}
    for note, _ in chord.upper:
        p = above(tonic, note)
        while staff_degree(p) < staff_degree(bass):
            p = above(p, "P8")
        while staff_degree(p) >= staff_degree(bass) + 7:
            p = above(p, "-P8")
        found.add(p)
    return tuple(sorted(found))


def turns(name: str) -> int:
    """How many positions the right hand has; the Italian sixth, with its tonic doubled, has one."""
    return 1 if name == "It+6" else 3


def resolution(
    key: Key, name: str, turn: int, octave: int
) -> tuple[tuple[Pitch, ...], tuple[Pitch, ...]]:
    """The chord's three upper voices over a tonic in ``octave``, the lowest ``turn`` of them an
    octave higher, and those of the chord that it goes to.
    """
    tonic, third = key.tonic_in(octave), "m3" if key.minor else "M3"
    pairs = [
        (above(tonic, note), above(tonic, third if goes == "3" else goes))
        for note, goes in CHROMATIC[name].upper
    ]
    pairs = pairs[turn:] + [(above(p, "P8"), above(q, "P8")) for p, q in pairs[:turn]]
    return tuple(p for p, _ in pairs), tuple(q for _, q in pairs)


def basses(key: Key, name: str, octave: int) -> tuple[Pitch, Pitch]:
    """The bass of the chord and that of the next, over a tonic in ``octave``."""
    tonic = key.tonic_in(octave)
    return above(tonic, CHROMATIC[name].bass), above(tonic, "P5")
