"""What words of music mean, against a glossary made from printed books."""

import re

import glossary
import reading
from music21 import dynamics

from workbook.music.terms import TERMS


def check(exercise):
    """Whatever is accepted fits the word in the glossary; words for a meaning all have it."""
    words = {blank.column: blank for blank in reading.answers(exercise, "term")}
    meanings = {blank.column: blank for blank in reading.answers(exercise, "meaning")}
    assert set(words) == set(meanings) == set(range(exercise.figure.rows))
    assert len({blank.answer for blank in words.values()}) == len(words)
    for row, word in words.items():
        meaning = meanings[row]
        assert word.given or exercise.figure.kinds[1] == "term"
        for text in (meaning.answer, *meaning.also):
            assert glossary.fits(word.answer, text), (word.answer, text)
        for other in {word.answer, *word.also} & set(glossary.WORDS):
            assert glossary.fits(other, meaning.answer), (other, meaning.answer)


def test_meanings():
    for exercise in reading.sample("term-meanings", seeds=20, keys=reading.ALL_KEYS[:1]):
        check(exercise)


def test_every_word_is_in_the_glossary():
    assert {term.word for term in TERMS} == set(glossary.WORDS)
    for term in TERMS:
        assert all(glossary.fits(term.word, text) for text in (term.meaning, *term.also))
        assert (term.source == "M") == (term.word in glossary.MEMORY), term.word


def test_letters_and_meanings_of_dynamics():
    """The letters, and the meanings in English, are music21's."""
    for letters, english in dynamics.englishNames.items():
        for term in TERMS:
            if letters in term.short:
                assert term.meaning == english
                assert term.word.replace(" ", "") == dynamics.longNames[letters]


OTHER_FORMS = {"sforzato", "con espressione", "tempo rubato"}
"""The same words, not shortened: common practice, no source."""


def test_abbreviations_are_of_the_word():
    """An abbreviation has the letters of its word, in their order; pp and ff repeat theirs."""
    for term in TERMS:
        for short in set(term.short) - OTHER_FORMS:
            letters = re.sub(r"\W", "", short.lower()).replace("tempoi", "tempo")
            letters = {"pp": "p", "ff": "f"}.get(letters, letters)
            assert re.search(".*".join(letters), re.sub(r"\W", "", term.word.lower())), short
