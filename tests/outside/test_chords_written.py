"""Triads that the student writes, against music21's chord symbols, numerals and analysis."""

from functools import cache

from music21 import chord as m21chord
from music21 import harmony as m21harmony
from music21 import key as m21key
from music21 import roman as m21roman
from reading import SOME_KEYS, sample, spelled, theirs, theirs_key

DEGREES = {
    "major": ("I", "ii", "iii", "IV", "V", "vi", "viio"),
    "minor": ("i", "iio", "III", "iv", "V", "VI", "viio"),
}
POSITIONS = {"root": 0, "1st": 1, "2nd": 2, "5/3": 0, "6": 1, "6/4": 2}
KINDS = {"major": "major", "minor": "minor", "dim": "diminished", "aug": "augmented"}


def check(exercise):
    """The notes on the staff are those that the labels ask for, and are written."""
    {"triad-spelling": check_spelling, "chord-building": check_building}[exercise.family](exercise)


def check_spelling(exercise):
    labels = {b.column: b.answer for b in exercise.blanks if b.asks == "chord"}
    assert all(b.given for b in exercise.blanks if b.asks == "chord")
    own = triads(*theirs_key(exercise))
    for staff in exercise.staves:
        assert len(staff.events) == len(labels)
        for column, event in enumerate(staff.events):
            names = [theirs(p).name for p in event.pitches]
            assert names == symbol(labels[column])
            assert tuple(names) in own
            assert close([theirs(p) for p in event.pitches])
    check_blanks(exercise, 0)


def check_building(exercise):
    for staff in exercise.staves:
        labels = {
            b.column: b.answer
            for b in exercise.blanks
            if b.asks == "triad" and b.hand == staff.hand
        }
        assert len(staff.events) == len(labels)
        for column, event in enumerate(staff.events):
            chord = m21chord.Chord([theirs(p) for p in event.pitches])
            quality, position = labels[column].replace(" triad,", "").split()
            assert chord.quality == KINDS[quality]
            steps = [p.diatonicNoteNum - chord.pitches[0].diatonicNoteNum for p in chord.pitches]
            assert steps == [[0, 2, 4], [0, 2, 5], [0, 3, 5]][POSITIONS[position]]
            assert abs(chord.pitches[0].alter) <= 2
    check_blanks(exercise, 1)


def check_blanks(exercise, printed):
    """All notes but the ``printed`` lowest are written, and named in the answer."""
    answers = {(b.hand, b.column): b.answer for b in exercise.blanks if b.asks == "notes"}
    for staff in exercise.staves:
        for column, event in enumerate(staff.events):
            answer = answers.pop((staff.hand, column), None)
            if answer is None:
                assert event.written == ()  # filled in as help
            else:
                assert event.written == event.pitches[printed:]
                assert answer == " ".join(spelled(theirs(p)) for p in event.written)
    assert not answers


def close(pitches) -> bool:
    return pitches[-1].ps - pitches[0].ps < 12 and pitches == sorted(pitches)


@cache
def symbol(label: str) -> list[str]:
    """The notes of a chord name, root first, as music21 reads it."""
    for sign, typed in (("𝄪", "##"), ("𝄫", "--"), ("♯", "#"), ("♭", "-"), ("°", "dim")):
        label = label.replace(sign, typed)
    return [p.name for p in m21harmony.ChordSymbol(label).pitches]


@cache
def triads(tonic: str, mode: str) -> set[tuple[str, ...]]:
    key = m21key.Key(tonic, mode)
    return {
        tuple(p.name for p in m21roman.RomanNumeral(numeral, key).pitches)
        for numeral in DEGREES[mode]
    }


def test_triad_spelling():
    for exercise in sample("triad-spelling"):
        check(exercise)


def test_chord_building():
    for exercise in sample("chord-building", keys=SOME_KEYS):
        check(exercise)
