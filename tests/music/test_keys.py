"""Key signatures and how a teacher writes a key.

Source: the circle of fifths as the Standard MIDI File key-signature event and
MusicXML's <fifths> number it, -7 (flats) to 7 (sharps); figures from memory.
"""

import pytest
from music21 import key as m21

from workbook.music.keys import ALL_KEYS, parse_key, parse_keys, signature

MIDI = {
    "major": ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"],
    "minor": ["Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"],
}


@pytest.mark.parametrize("mode", MIDI)
def test_fifths_are_the_midi_numbers(mode):
    found = {key.tonic: key.fifths for key in ALL_KEYS if key.mode == mode}
    assert found == dict(zip(MIDI[mode], range(-7, 8)))


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_signature_is_music21s(key):
    other = m21.Key(key.tonic.replace("b", "-"), key.mode)
    assert key.fifths == other.sharps
    assert signature(key) == {p.step: int(p.alter) for p in other.alteredPitches}


@pytest.mark.parametrize(
    "text, name",
    [
        ("C major", "C major"),
        ("f# minor", "F# minor"),
        ("Bb major", "Bb major"),
        ("E-flat minor", "Eb minor"),
        ("c♯ minor", "C# minor"),
        ("  d   MINOR ", "D minor"),
    ],
)
def test_what_a_teacher_writes(text, name):
    assert parse_key(text).ascii == name


@pytest.mark.parametrize(
    "text, hint",
    [("H major", "B major"), ("G# major", "Ab major"), ("C mojor", "C major"), ("Am", "A minor")],
)
def test_a_wrong_key_is_told_the_right_one(text, hint):
    with pytest.raises(ValueError, match=f'did you mean "{hint}"'):
        parse_key(text)


def test_groups_and_repeats():
    assert len(parse_keys("all")) == 24
    assert len(parse_keys("all major; C major")) == 12
    with pytest.raises(ValueError):
        parse_keys(" ; ")
