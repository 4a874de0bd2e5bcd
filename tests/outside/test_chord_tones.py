"""Chord tones and non-chord tones, against music21 (see reading.py).

Source: music21 reads the printed chord names and numerals, says which notes are foreign to
them, and which three notes could be a passing or a neighbor tone
(``voiceLeading.ThreeNoteLinearSegment``). The other kinds are told apart by its intervals:
common practice, no source.
"""

from itertools import pairwise

from music21 import interval as m21interval
from music21 import voiceLeading as m21voiceLeading
from reading import answers, notes, sample, scale, theirs
from test_harmony_families import roman, symbol

from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS
from workbook.music.naming import Naming

SOME = ALL_KEYS[::7]


def tones(blank, key) -> tuple[str, ...]:
    """The note names of a printed chord name or numeral."""
    if blank.asks == "chord":
        return symbol(blank.answer)[0]
    return roman(blank.answer, key.tonic, key.mode)[0]


def kind(before, here, after) -> str:
    """What a foreign note is, by the way it is reached and left."""
    segment = m21voiceLeading.ThreeNoteLinearSegment(before, here, after)
    come, go = (
        m21interval.Interval(a, b).generic.directed for a, b in ((before, here), (here, after))
    )
    if segment.couldBePassingTone():
        return "PT"
    if segment.couldBeNeighborTone():
        return "NT"
    if come == 1 and go == -2:
        return "SUS"
    if go == 1 and abs(come) == 2:
        return "ANT"
    assert come * go < 0, (before, here, after)
    if abs(go) == 2 and abs(come) > 2:
        return "APP"
    assert abs(come) == 2 and abs(go) > 2, (before, here, after)
    return "ET"


def in_key(exercise, melody):
    """All notes are in the key's scales; the seventh degree of minor is raised where it rises."""
    tonic = exercise.key.tonic.replace("b", "-")
    own, raised = (
        [p.name for p in scale(tonic, form)]
        for form in (("natural", "harmonic") if exercise.key.minor else ("major", "major"))
    )
    assert {p.name for p in melody} <= {*own, *raised}
    for here, after in pairwise(melody):
        if exercise.key.minor and here.name == own[6]:
            assert after.name != tonic or abs(after.ps - here.ps) > 2
        elif exercise.key.minor and here.name == raised[6]:
            assert after.name in (tonic, *dominant(exercise))


def dominant(exercise) -> tuple[str, ...]:
    return roman("V7", exercise.key.tonic, exercise.key.mode)[0]


def check(exercise):
    """Each note is what music21 says that it is over the chord printed last before it."""
    melody = notes(exercise.staves[0])
    printed = {
        blank.column: blank for asks in ("chord", "numeral") for blank in answers(exercise, asks)
    }
    for blank in printed.values():
        assert tuple(theirs(p).name for p in blank.of) == tones(blank, exercise.key)
    row = answers(exercise, "tone")
    in_key(exercise, melody)
    assert [blank.column for blank in row] == list(range(len(melody)))
    chord, whole = (), exercise.settings["tones"] == "chord or not"
    for blank, here in zip(row, melody, strict=True):
        column = blank.column
        if column in printed:
            chord = tones(printed[column], exercise.key)
        if len(exercise.staves) > 1:
            sounding = [theirs(p) for p in exercise.staves[1].events[column].pitches]
            assert bool(sounding) == (column in printed)
            assert not sounding or {p.name for p in sounding} == set(chord)
        if here.name in chord:
            assert blank.answer == "CT", (exercise.prompt, column)
        elif whole:
            assert blank.answer == "NCT", (exercise.prompt, column)
        else:
            assert blank.answer == kind(*melody[column - 1 : column + 2]), (exercise.prompt, column)
        if blank.answer in ("SUS", "APP"):
            assert column in printed  # they are accented
    assert len(printed) == 4 and melody[-1].name == chord[0]


def test_tones_of_melodies():
    for exercise in sample("chord-tones", keys=SOME):
        check(exercise)


def test_every_kind_occurs():
    found = {
        blank.answer
        for hand_seed in range(3)
        for exercise in sample("chord-tones", seeds=hand_seed + 1, keys=SOME[:2], tones="all")
        for blank in answers(exercise, "tone")
    }
    assert found == {"CT", "PT", "NT", "SUS", "APP", "ET", "ANT"}


def test_british_words():
    british = Naming(steps="semitone")
    exercise = next(
        sample("chord-tones", keys=SOME[:1], naming=british, tones="passing and neighbor")
    )
    assert "NT (auxiliary note)" in exercise.task and "CT (chord note)" in exercise.task
    neighbor = next(b for b in answers(exercise, "tone") if b.answer == "NT")
    assert {"auxiliary note", "AUX"} <= set(neighbor.also)


def test_a_melody_leaves_room_for_the_chords_under_it():
    for exercise in sample("chord-tones", keys=SOME):
        if exercise.hand == HANDS[2]:
            for right, left in zip(*(staff.events for staff in exercise.staves), strict=True):
                assert not left.pitches or max(left.pitches) < right.pitches[0]
