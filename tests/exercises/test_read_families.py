"""Families of chords, intervals and the keyboard: a page's words, help, single line, hand values.

The values were worked out by hand.
"""

from random import Random

import pytest
from asked import Request

from workbook.engraving.engrave import engrave
from workbook.exercises.dyads import Dyad
from workbook.exercises.families import FAMILIES
from workbook.exercises.families.chord_building import Chord
from workbook.exercises.interval_names import answers
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.naming import Naming
from workbook.music.pitch import pitch, scientific
from workbook.music.scales import scale_forms

STAVES = (
    "triad-quality",
    "triad-spelling",
    "chord-building",
    "interval-quality",
    "interval-building",
    "half-steps",
)


def make(family, key, hand="right", given=0, seed=0, naming=Naming(), **settings):
    kind = FAMILIES[family]
    request = Request(parse_key(key), hand, kind.asks, given, 2, settings, naming)
    return kind.make(request, Random(seed))


def names(notes):
    return [scientific(p) for p in notes]


def test_chords_on_a_given_bass():
    assert names(Chord(pitch("E4"), "major", 1).notes(4)) == ["E4", "G4", "C5"]
    assert names(Chord(pitch("Eb4"), "minor", 2).notes(3)) == ["Eb3", "Ab3", "Cb4"]
    assert names(Chord(pitch("B4"), "diminished", 0).notes(4)) == ["B4", "D5", "F5"]
    assert names(Chord(pitch("G#4"), "augmented", 1).notes(4)) == ["G#4", "B#4", "E5"]


def test_notes_at_an_interval():
    assert names(Dyad(pitch("F4"), "A4").notes(4)) == ["F4", "B4"]
    assert names(Dyad(pitch("Ab4"), "d7").notes(4)) == ["Ab4", "Gbb5"]
    assert names(Dyad(pitch("C4"), "m6", below=True).notes(4)) == ["E3", "C4"]
    assert names(Dyad(pitch("F#4"), "A2", below=True).notes(5)) == ["Eb5", "F#5"]


def test_what_else_is_accepted():
    words = ("min6", "min 6th", "min sixth", "minor 6", "minor 6th", "minor sixth")
    assert answers("m6", True) == ("m6", words)
    assert {"perfect octave", "perf8"} <= {*answers("P8", True)[1]}
    assert "+4" in answers("A4", True)[1] and "°5" in answers("d5", True)[1]
    assert answers("P8", False) == ("8", ("8ve", "8th", "octave"))


def test_a_page_in_other_words():
    german, fixed_do = Naming("german", "semitone"), Naming("italian")
    spelling = make("triad-spelling", "F# minor", naming=german, chords="primary")
    assert {b.answer for b in spelling.blanks if b.asks == "chord"} == {"Fism", "Hm", "Cis"}
    assert {b.answer for b in spelling.blanks if b.asks == "notes"} == {
        "Fis A Cis",
        "H D Fis",
        "Cis Eis Gis",
    }
    keyboard = make("keyboard-names", "G major", naming=fixed_do)
    assert [b.answer for b in keyboard.blanks] == [
        "Sol",
        "La",
        "Si",
        "Do",
        "Re",
        "Mi",
        "Fa♯",
        "Sol",
    ]
    assert "semitones" in make("half-steps", "G major", naming=german).prompt
    assert "half steps" in make("half-steps", "G major").prompt


@pytest.mark.parametrize("family", ("triad-spelling", "chord-building", "interval-building"))
def test_columns_filled_in_as_help(family):
    whole, helped = make(family, "D major"), make(family, "D major", given=2)
    count = {e: sum(b.asks == "notes" for b in e.blanks) for e in (whole, helped)}
    assert count[helped] == count[whole] - 2
    assert sum(b.asks == "notes" for b in make(family, "D major", given=30).blanks) == 1


@pytest.mark.parametrize(
    "family", ["triad-quality", "interval-quality", "interval-building", "chord-building"]
)
def test_a_label_tells_no_key_where_no_signature_is_printed(family):
    assert "A♭" not in make(family, "Ab major").label
    assert "A♭ major" in make(family, "Ab major", signature="printed").label


def test_the_fullest_exercises_keep_to_one_line():
    exercises = [
        make(family, key, "both", seed=seed, signature="printed", **others)
        for family in STAVES
        for key in ("C# major", "Cb major", "A# minor")
        for others in ({}, {"qualities": "all", "label": "figure", "inversions": True})
        for seed in range(2)
    ]
    for exercise, snippet in zip(exercises, engrave(exercises)):
        rows = {}
        for blank in exercise.blanks:
            rows.setdefault(blank.slot[:2], set()).add(round(snippet.slots[blank.slot][1], 1))
        assert all(len(bottoms) == 1 for bottoms in rows.values()), exercise.prompt
        assert snippet.width < 522 + 10  # the measure, and a brace


def exercise(family, key, seed=1, hand="right", **settings):
    made = FAMILIES[family]
    key = parse_key(key) if isinstance(key, str) else key
    return made.make(Request(key, hand, made.asks, settings=settings), Random(seed))


def test_phrases_that_may_change_places_are_said_to_be_those_of_a_period():
    """A period has its question first (common practice, no source)."""
    said = exercise("periods", "C major", order="either").task
    assert said.startswith("Name the phrases (question or answer, in either order), cadences")
    assert "either" not in exercise("periods", "C major", order="question first").task
    asked = Request(parse_key("C major"), "right", ("match",), settings={"order": "either"})
    alone = FAMILIES["periods"].make(asked, Random(1)).task
    assert alone.startswith("These are the phrases of a period, in either order. Match: ")


def test_the_example_in_a_task_has_the_note_names_of_the_book():
    made = FAMILIES["inversion-figures"]
    for letters, names in (("english", "Dm or G7"), ("italian", "Rem or Sol7")):
        asked = Request(parse_key("C major"), "right", ("chord",), naming=Naming(letters))
        assert f"(such as {names})" in made.make(asked, Random(1)).task


def test_words_of_tasks():
    scale = exercise("scale-writing", "D major")
    assert "one octave" in scale.task and "sharp or flat" in scale.task
    assert "the accidentals they need" in exercise("scale-writing", "G# minor").task
    chromatic = exercise("chromatic-scale", "D minor")
    assert chromatic.label == "Chromatic scale starting on D, right hand" and not chromatic.signed
    for key in ALL_KEYS:
        asked = exercise("key-signatures", key, task="write")
        first, other = [event.signature for event in asked.staves[0].events]
        assert first.fifths != other.fifths
        for form in scale_forms(key):
            scale = exercise("scale-writing", key, forms=form)
            double = any(abs(p.signs) == 2 for e in scale.staves[0].events for p in e.written)
            assert "one octave" in scale.task
            assert ("the accidentals" in scale.task) == double
            assert ("sharp or flat" in scale.task) != double


@pytest.mark.parametrize(
    "numerals, missing", [("full", 2), ("short", 1), ("I vi ii6 V7 I", 2), ("I vi IV V7 I", 2)]
)
def test_a_missing_chord_is_not_shown_elsewhere(numerals, missing):
    """In no position and no octave."""
    for key in ALL_KEYS:
        for seed in range(3):
            asked = exercise("missing-chord", key, seed, numerals=numerals, missing=missing)
            events = asked.staves[0].events
            chords = [{(p.step, p.signs) for p in event.pitches} for event in events]
            written = [chord for chord, event in zip(chords, events) if event.written]
            assert len(written) == missing
            assert all(chords.count(chord) == 1 for chord in written)


def test_two_missing_chords_are_refused_where_one_alone_can_be_found():
    family = FAMILIES["missing-chord"]
    settings = {name: setting.default for name, setting in family.settings.items()}
    for key in ALL_KEYS:
        assert not family.problem(settings | {"numerals": "short", "missing": 1}, key, "right")
        told = family.problem(settings | {"numerals": "short", "missing": 2}, key, "right")
        assert "write missing = 1" in told
