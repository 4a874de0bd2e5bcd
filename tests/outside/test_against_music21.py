"""Scales, triads, numerals, inversions and interval names against music21.

Source: music21, a general-purpose music analysis library, which has scales,
Roman numerals, chord inversions and interval names of its own.
"""

from random import Random

import pytest
from music21 import chord as m21chord
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import pitch as m21pitch
from music21 import roman as m21roman
from music21 import scale as m21scale

from workbook.exercises import FAMILIES, Request
from workbook.exercises.model import HANDS
from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS
from workbook.music.pitch import scientific
from workbook.music.scales import ascending, chromatic, descending, forms

SCALES = {"major": m21scale.MajorScale, "natural": m21scale.MinorScale,
          "harmonic": m21scale.HarmonicMinorScale, "melodic": m21scale.MelodicMinorScale}
POSITIONS = ("root", "1st", "2nd")


def theirs(p) -> m21pitch.Pitch:
    name = scientific(p) if not isinstance(p, str) else p
    return m21pitch.Pitch(name[0] + name[1:].replace("b", "-"))


def names(pitches) -> list[str]:
    return [theirs(p).nameWithOctave for p in pitches]


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_scales(key):
    tonic = theirs(key.tonic_in(4))
    for form in forms(key):
        scale = SCALES[form](tonic)
        top = theirs(key.tonic_in(6))
        up = [p.nameWithOctave for p in scale.getPitches(tonic, top, direction=m21scale.Direction.ASCENDING)]
        down = [p.nameWithOctave for p in scale.getPitches(tonic, top, direction=m21scale.Direction.DESCENDING)]
        assert names(ascending(key, form, 4, 2)) == up
        assert names(descending(key, form, 4, 2)) == sorted(
            down, key=lambda n: -m21pitch.Pitch(n).diatonicNoteNum)


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
    plain = chord.name.replace("♯", "#").replace("♭", "b").replace("𝄪", "##").replace("𝄫", "bb")
    assert plain == other.root().name.replace("-", "b") + suffix


def exercises(family):
    for key in ALL_KEYS:
        for hand in HANDS:
            for settings in _settings(family, key):
                yield FAMILIES[family].make(
                    Request(key, hand, FAMILIES[family].asks, 0, 2, settings), Random(key.ascii))


def _settings(family, key):
    if family == "scale-fingering":
        return [{"octaves": n, "forms": form} for n in (1, 2) for form in forms(key)]
    if family == "progression":
        return [{"numerals": n} for n in ("full", "short")]
    if family == "intervals":
        return [{"quality": q} for q in (False, True)]
    return [{}]


def test_inversions_are_named_right():
    for exercise in exercises("inversions"):
        for blank in exercise.blanks:
            if blank.asks == "position":
                chord = m21chord.Chord([theirs(p) for p in blank.of])
                assert blank.answer == POSITIONS[chord.inversion()]


def test_intervals_are_named_right():
    for exercise in exercises("intervals"):
        for blank in exercise.blanks:
            other = m21interval.Interval(*[theirs(p) for p in blank.of])
            assert blank.answer in (other.name, str(other.generic.undirected))


def test_chord_blanks_are_named_right():
    for family in ("primary-chords", "progression"):
        for exercise in exercises(family):
            tonality = m21key.Key(exercise.key.tonic.replace("b", "-"), exercise.key.mode)
            for blank in exercise.blanks:
                chord = m21chord.Chord([theirs(p) for p in blank.of])
                if blank.asks == "numeral":
                    other = m21roman.RomanNumeral(blank.answer, tonality)
                    assert {p.name for p in chord.pitches} <= {p.name for p in other.pitches}
                    assert chord.root().name == other.root().name or blank.answer == "V7"


def test_parallel_hands_play_the_same_notes():
    for family, kind in FAMILIES.items():
        if family in ("intervals", "cadences") or kind.by != "hand":  # each hand has its own
            continue
        for exercise in exercises(family):
            if exercise.hand == "both":
                right, left = ([[theirs(p).name for p in e.pitches] for e in staff.events]
                               for staff in exercise.staves)
                assert right == left


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_chromatic_scales_sound_as_they_should(key):
    run = [theirs(p).ps for p in chromatic(key, 3, 2)]
    assert run == [run[0] + step for step in (*range(25), *range(23, -1, -1))]


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
@pytest.mark.parametrize("chord, figure", [("dominant seventh", "V7"),
                                           ("diminished seventh", "viio7")])
def test_seventh_arpeggios_are_the_chords_they_are_called(key, chord, figure):
    exercise = FAMILIES["arpeggio"].make(
        Request(key, "right", ("finger",), 0, 2, {"chord": chord}), Random(1))
    names = [theirs(event.pitches[0]).name for event in exercise.staves[0].events[:4]]
    other = m21roman.RomanNumeral(figure, m21key.Key(key.tonic.replace("b", "-"), key.mode))
    assert names == [p.name for p in other.pitches]
