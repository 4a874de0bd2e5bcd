"""What is suggested for a word that is not known: one answer wherever it is asked."""

import time
import unicodedata

import pytest

from workbook.inputs.suggestions import MOST_SUGGESTED, closest, did_you_mean

STUDENTS = ["Fenja Ålund", "Pippa Marrowby", "Zoë Lindqvist-Okafor", "Ilio Varga-Dune"]


@pytest.mark.parametrize(
    "word, meant",
    [
        ("Fenja", "Fenja Ålund"),
        ("fenja", "Fenja Ålund"),
        ("ALUND", "Fenja Ålund"),
        ("alund fenja", "Fenja Ålund"),
        ("Zoe", "Zoë Lindqvist-Okafor"),
        ("okafor", "Zoë Lindqvist-Okafor"),
        (unicodedata.normalize("NFD", "Zoë Lindqvist-Okafor"), "Zoë Lindqvist-Okafor"),
        ("Pipa", "Pippa Marrowby"),
        ("Pippa Maroby", "Pippa Marrowby"),
        ("  pippa   marrowby ", "Pippa Marrowby"),
    ],
)
def test_a_student_by_first_name_case_accents_or_with_a_slip(word, meant):
    assert closest(word, STUDENTS) == [meant]


@pytest.mark.parametrize("word", ["", "   ", "…", "Q", "Bartholomew", "../../etc/passwd"])
def test_nothing_is_suggested_for_what_is_like_nothing(word):
    assert closest(word, STUDENTS) == [] and did_you_mean(word, STUDENTS) == ""


def test_all_who_share_a_first_name_are_named_unless_they_are_many():
    names = ["Ann Lee", "Ann Moor", "Bo Ann", "Cy"]
    assert did_you_mean("ann", names) == 'did you mean "Ann Lee", "Ann Moor" or "Bo Ann"?'
    many = [f"Ann {letter}" for letter in "ABCDEFGH"]
    assert len(closest("Ann", many)) <= MOST_SUGGESTED


def test_what_is_not_text_is_passed_over_and_a_long_name_cut():
    assert did_you_mean("tru", (True, False, 3, "true")) == 'did you mean "true"?'
    assert len(did_you_mean("x" * 59, ["x" * 300])) < 90


def test_a_number_is_the_same_with_and_without_zeros():
    levels = [f"level-{number:02}" for number in range(1, 11)]
    for typed in ("level-1", "level 1", "Level1", "level_001"):
        assert closest(typed, levels) == ["level-01"]
    assert closest("level-010", levels) == ["level-10"]


def test_a_page_that_was_pasted_is_answered_quickly():
    start = time.perf_counter()
    did_you_mean("lorem ipsum " * 100_000, STUDENTS * 50)
    assert time.perf_counter() - start < 2


def test_the_same_answer_everywhere(tmp_path):
    """Roster, template, keys and command line ask this one function."""
    from workbook.music.keys import parse_key
    from workbook.studio.templates import match

    with pytest.raises(ValueError, match='did you mean "first-steps"'):
        match("Fîrst-Stéps2", ["first-steps"])
    with pytest.raises(ValueError, match='did you mean "C major"'):
        parse_key("Ç majör!")
