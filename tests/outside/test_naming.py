"""Note names in other languages, against music21 and two tables.

Sources: music21's ``Pitch.german``, ``italian``, ``french``, ``spanish``, which spell the
signs out (``do diesis``) where the page prints them (``Do♯``): that is the only difference,
and the tests put the signs into words. LilyPond's Notation Reference 2.25, "Note names in
other languages", for the seven names of each language. The Humdrum representation "Tonh"
(humdrum.org/rep/Tonh) for German's exceptions. Both read as excerpts.
"""

from dataclasses import replace

import pytest
import reading
from music21 import pitch as m21pitch
from words import SIGNS, notes_in

from workbook.exercises.families import FAMILIES
from workbook.music.cadences import CADENCES, printed_name
from workbook.music.keys import parse_key
from workbook.music.naming import LETTERS, STEPS, Naming
from workbook.music.pitch import pitch
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

NAMES = [f"{letter}{sign}" for letter in "CDEFGAB" for sign in ("bb", "b", "", "#", "##")]
SEVEN = {
    "german": "c d e f g a h",
    "italian": "do re mi fa sol la si",
    "french": "do ré mi fa sol la si",
    "spanish": "do re mi fa sol la si",
}
TONH = {"Bb": "B", "B": "H", "Bbb": "Heses", "Ab": "As", "Eb": "Es", "C#": "Cis", "Gb": "Ges"}


def spelled_out(text: str, language: str) -> str:
    sign = text[-1]
    if sign in SIGNS.get(language, {}):
        text = f"{text[:-1]} {SIGNS[language][sign]}"
    return text.lower()


@pytest.mark.parametrize("language", ["german", "italian", "french", "spanish"])
def test_all_notes_are_called_as_music21_calls_them(language):
    for name in NAMES:
        theirs = getattr(m21pitch.Pitch(name.replace("b", "-")), language)
        ours = Naming(language).note(pitch(f"{name}4"))
        assert spelled_out(ours, language) == theirs.lower(), name
        assert ours[0].isupper()


@pytest.mark.parametrize("language", SEVEN)
def test_the_seven_names_are_those_of_the_notation_reference(language):
    found = [Naming(language).note(pitch(f"{letter}4")).lower() for letter in "CDEFGAB"]
    assert found == SEVEN[language].split()


def test_german_exceptions():
    german = Naming("german")
    assert {name: german.note(pitch(f"{name}4")) for name in TONH} == TONH


@pytest.mark.parametrize("language", LETTERS)
def test_no_two_notes_share_a_name(language):
    assert len({Naming(language).note(pitch(f"{name}4")) for name in NAMES}) == len(NAMES)


def test_keys():
    for language, wanted in (
        ("english", "B♭ major"),
        ("german", "B major"),
        ("french", "Si♭ major"),
    ):
        assert Naming(language).key(parse_key("Bb major")) == wanted
    assert Naming("german").key(parse_key("B minor")) == "H minor"
    assert Naming("german").key(parse_key("F# minor")) == "Fis minor"


def test_words_for_steps_are_of_one_side_of_the_ocean():
    """Common practice, no source."""
    words = [
        (
            n.half_step,
            n.whole_step,
            n.half_letter,
            n.whole_letter,
            n.measure,
            n.leading_tone,
            n.parallel,
            n.whole_notes,
        )
        for n in (Naming(steps=steps) for steps in STEPS)
    ]
    assert words == [
        ("half step", "whole step", "H", "W", "measure", "leading tone", "parallel", "whole notes"),
        ("semitone", "tone", "S", "T", "bar", "leading note", "tonic", "semibreves"),
    ]


def test_cadences_too():
    """Common practice, no source."""
    assert [printed_name(name, british=False) for name in CADENCES] == list(CADENCES)
    assert [printed_name(name, british=True) for name in CADENCES] == [
        "perfect",
        "imperfect",
        "plagal",
        "interrupted",
    ]
    for steps in STEPS:
        for exercise in reading.sample("cadences", naming=Naming(steps=steps)):
            for blank in reading.answers(exercise, "cadence"):
                assert blank.answer in exercise.task and blank.answer not in blank.also


def test_titles_of_families_too():
    """No title keeps the words of the other side. Common practice, no source."""
    british = {
        family.title: family.title_in(Naming(steps="semitone")) for family in FAMILIES.values()
    }
    assert british["Half steps"] == "Semitones"
    assert british["Whole and half steps"] == "Tones and semitones"
    assert not any("half step" in title.lower() for title in british.values())
    template = replace(read_template(available()["level-02"]), naming=Naming(steps="semitone"))
    row = Row("Ada", template, (parse_key("C major"),), "", None, 2)
    titles = [section.title for section in plan(row, "").sections]
    assert "Tones and semitones" in titles and "Whole and half steps" not in titles


FAMILIES_WITH_NAMES = (
    "scale-writing",
    "scale-repair",
    "note-names",
    "key-signatures",
    "circle-of-fifths",
)


def capital(answer: str) -> str:
    """An answer of one letter, which is small for a minor key of the circle, as a note's name."""
    alone = answer[:1] in set("abcdefgh") and answer[1:] in ("", "♯", "♭", "is", "es", "s")
    return answer[0].upper() + answer[1:] if alone else answer


def in_german(text: str) -> str:
    return notes_in(text, "german")


@pytest.mark.parametrize("family", [*FAMILIES_WITH_NAMES, "scale-matching", "scale-degrees"])
def test_a_german_page_has_the_english_one_in_german(family):
    """Answers and labels, note by note; the letters of scale-matching are no notes."""
    german = reading.sample(family, naming=Naming("german"))
    changed = 0
    for one, other in zip(reading.sample(family), german, strict=True):
        assert other.label == in_german(one.label)
        for english, blank in zip(one.blanks, other.blanks, strict=True):
            named = family in FAMILIES_WITH_NAMES
            wanted = in_german(capital(english.answer)) if named else english.answer
            assert capital(blank.answer) == wanted
            changed += blank.answer != english.answer
    assert bool(changed) == (family in FAMILIES_WITH_NAMES)
