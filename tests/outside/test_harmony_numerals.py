"""Chords, names, numerals and the numeral finder against music21.

Source: music21, a general-purpose music analysis library: its Roman numerals,
chord symbols and chord inversions.
"""

from dataclasses import replace

import pytest
from finder import candidates, find, vocabulary
from music21 import chord as m21chord
from music21 import harmony as m21harmony
from music21 import key as m21key
from music21 import roman as m21roman
from reading import theirs

from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS

KINDS = {
    "major": "major triad",
    "minor": "minor triad",
    "diminished": "diminished triad",
    "augmented": "augmented triad",
    "dominant seventh": "dominant seventh chord",
    "major seventh": "major seventh chord",
    "minor seventh": "minor seventh chord",
    "half-diminished seventh": "half-diminished seventh chord",
    "diminished seventh": "diminished seventh chord",
}


def tonality(key) -> m21key.Key:
    return m21key.Key(key.tonic.replace("b", "-"), key.mode)


def in_their_letters(numeral: str) -> str:
    """``vii°6/5/V`` as music21 writes it, ``viio65/V``."""
    for figures in ("6/5", "6/4", "4/3", "4/2"):
        numeral = numeral.replace(figures, figures.replace("/", ""))
    return numeral.replace("°", "o")


@pytest.mark.parametrize(
    "key",
    [
        pytest.param(key, marks=pytest.mark.sweep if place % 3 else ())
        for place, key in enumerate(ALL_KEYS)
    ],
    ids=str,
)
def test_every_numeral_in_every_inversion(key):
    """Notes, bass and quality of each chord: 37 chords in a major key, 50 in a minor."""
    home = tonality(key)
    for root_position in vocabulary(key):
        for number in range(len(root_position.kind.tones)):
            chord = replace(root_position, inversion=number)
            tones = [theirs(p) for p in chord.close(4)]
            other = m21roman.RomanNumeral(in_their_letters(chord.numeral), home)
            assert {p.name for p in tones} == {p.name for p in other.pitches}, chord.numeral
            sounded = m21chord.Chord(tones)
            assert tones[0].name == other.bass().name
            assert sounded.inversion() == number or chord.quality == "augmented"
            assert sounded.commonName == KINDS[chord.quality] or number
            assert chord in candidates(key, chord.close(3))


@pytest.mark.parametrize("key", ALL_KEYS[::3], ids=str)
def test_chord_names(key):
    """Our chord name, read by music21's chord symbols, gives our notes."""
    for chord in vocabulary(key):
        name = (
            chord.symbol()
            .replace("♯", "#")
            .replace("♭", "-")
            .replace("𝄪", "##")
            .replace("𝄫", "--")
            .replace("°7", "dim7")
            .replace("°", "dim")
        )
        if "----" in name or "##" in name:
            continue  # music21 reads no symbol with a double accidental
        read = m21harmony.ChordSymbol(name)
        assert {p.name for p in read.pitches} == {theirs(p).name for p in chord.tones(4)}, name


def test_the_default_reading_is_the_key_s_own():
    """The mode's own triads and sevenths, in all inversions, are the finder's first reading."""
    for key in ALL_KEYS:
        for degree in range(1, 8):
            for figures in ("", "6", "6/4", "7", "6/5", "4/3", "4/2"):
                numeral = ("I", "ii", "iii", "IV", "V", "vi", "vii°")[degree - 1] + figures
                if degree == 7 and figures in ("7", "6/5", "4/3", "4/2"):
                    numeral = "vii" + figures
                chord = harmony(key, numeral)
                assert find(key, chord.close(3)) == chord


def test_what_comes_next_tells_an_applied_dominant():
    for key in ALL_KEYS:
        if key.minor:
            seventh = harmony(key, "VII7")
            assert find(key, seventh.close(3), harmony(key, "III")).numeral == "V7/III"
            assert find(key, seventh.close(3), harmony(key, "i")) == seventh
