"""Neapolitan and augmented sixth chords, against music21's Roman numerals and voice leading.

Source: music21: ``N6``, ``It6``, ``Fr43`` and ``Ger65`` in a key, the chords of the key beside
them, parallel fifths and octaves between four voices.
"""

from functools import cache
from itertools import pairwise

from music21 import roman as m21roman
from reading import answers, sample
from test_cadence_writing import led
from test_harmony_families import columns, home, key_of, roman, together

from workbook.music.keys import ALL_KEYS

SOME = ALL_KEYS[::7]
THEIRS = {"N6": "N6", "It+6": "It6", "Fr+6": "Fr43", "Ger+6": "Ger65"}
GROUPS = {"Neapolitan": {"N6"}, "augmented sixths": {"It+6", "Fr+6", "Ger+6"}, "all": set(THEIRS)}


@cache
def tones(name: str, tonic: str, mode: str) -> tuple[frozenset[str], str]:
    """The note names of a chord, and its bass."""
    if name not in THEIRS:
        full, bass = roman(name, tonic, mode)
        return frozenset(full), bass
    found = m21roman.RomanNumeral(THEIRS[name], home(tonic, mode))
    return frozenset(p.name for p in found.pitches), found.bass().name


def check(exercise):
    together(exercise)
    sounding, labels = columns(exercise), answers(exercise, "chromatic")
    assert [blank.column for blank in labels] == list(range(len(sounding)))
    for blank, notes in zip(labels, sounding, strict=True):
        full, bass = tones(blank.answer, *key_of(exercise))
        assert {p.name for p in notes} == full and notes[0].name == bass, (exercise.prompt, blank)
        assert all(len(staff.events[blank.column].pitches) for staff in exercise.staves)
    asked = {blank.answer for blank in labels} & set(THEIRS)
    assert asked and asked <= GROUPS[exercise.settings["chords"]]
    task = exercise.settings["task"]
    if task == "resolve":
        check_resolutions(exercise, sounding, labels)
        return
    for staff in exercise.staves:
        for event in staff.events:
            assert bool(event.written) == (task == "write")
            assert event.pitches[-1].octave * 7 + event.pitches[-1].step < 7 + (
                event.pitches[0].octave * 7 + event.pitches[0].step
            )  # close position


def check_resolutions(exercise, sounding, labels):
    """Four voices without parallels; the augmented sixth opens by half steps to the fifth
    degree, and all else moves by a step or not at all, the upper voices of
    the Neapolitan by a third at most."""
    tonality = home(*key_of(exercise))
    fifth = tonality.pitches[4].name
    for column in range(0, len(sounding), 2):
        (a, b), name = sounding[column : column + 2], labels[column].answer
        assert len(a) == len(b) == 4
        led(a, b)
        goal = labels[column + 1].answer
        assert goal.lower() == ("i6/4" if name == "Ger+6" else "v")
        for here, there in zip(a, b, strict=True):
            assert abs(here.ps - there.ps) <= (3 if name == "N6" else 2)
        if name != "N6":
            outer = [(x, y) for x, y in zip(a, b, strict=True) if y.name == fifth]
            assert len(outer) == 2 and all(abs(x.ps - y.ps) == 1 for x, y in outer)
        assert b[0].name == fifth
    for staff in exercise.staves:
        for here, there in pairwise(staff.events):
            assert bool(here.written) != bool(there.written)


def test_chromatic_chords():
    for task in ("name", "write", "resolve"):
        for exercise in sample("chromatic-chords", 2, SOME, task=task):
            check(exercise)


def test_each_name_may_be_written_out():
    found = {}
    for exercise in sample("chromatic-chords", keys=SOME, chords="all", task="name"):
        for blank in answers(exercise, "chromatic"):
            found[blank.answer] = blank.also
    assert {"Neapolitan sixth", "♭II6"} <= set(found["N6"])
    assert "Italian sixth" in found["It+6"] and "Fr4/3" in found["Fr+6"]
    assert "Ger6/5" in found["Ger+6"]
