"""Scales, primary chords and numerals of the music modules against music21.

Source: music21, a general-purpose music analysis library, which has scales,
Roman numerals and chord names of its own.
"""

import pytest
from music21 import chord as m21chord
from music21 import key as m21key
from music21 import pitch as m21pitch
from music21 import roman as m21roman
from music21 import scale as m21scale
from reading import SCALES, theirs

from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS
from workbook.music.scales import ascending, chromatic, descending, scale_forms


def names(pitches) -> list[str]:
    return [theirs(p).nameWithOctave for p in pitches]


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_scales(key):
    tonic = theirs(key.tonic_in(4))
    for form in scale_forms(key):
        scale = SCALES[form](tonic)
        top = theirs(key.tonic_in(6))
        up, down = (
            [p.nameWithOctave for p in scale.getPitches(tonic, top, direction=way)]
            for way in (m21scale.Direction.ASCENDING, m21scale.Direction.DESCENDING)
        )
        assert names(ascending(key, form, 4, 2)) == up
        assert names(descending(key, form, 4, 2)) == sorted(
            down, key=lambda n: -m21pitch.Pitch(n).diatonicNoteNum
        )


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
@pytest.mark.parametrize("numeral", ["I", "IV", "V", "V7"])
def test_chords_and_numerals(key, numeral):
    chord = harmony(key, numeral)
    other = m21roman.RomanNumeral(chord.numeral, m21key.Key(key.tonic.replace("b", "-"), key.mode))
    tones = [theirs(p) for p in chord.tones(4)]
    assert [p.name for p in tones] == [p.name for p in other.pitches]
    sounded = m21chord.Chord(tones)
    assert sounded.root().name == other.root().name
    kind = {"major": "major", "minor": "minor", "dominant seventh": "dominant"}[chord.quality]
    assert kind in (sounded.quality, sounded.commonName.split("-")[0].split(" ")[0])
    suffix = {"major": "", "minor": "m", "dominant seventh": "7"}[chord.quality]
    plain = chord.symbol().replace("♯", "#").replace("♭", "b").replace("𝄪", "##").replace("𝄫", "bb")
    assert plain == other.root().name.replace("-", "b") + suffix


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_chromatic_scales_sound_as_they_should(key):
    run = [theirs(p).ps for p in chromatic(key.tonic_in(3), 2)]
    assert run == [run[0] + step for step in (*range(25), *range(23, -1, -1))]
