"""Words and meanings that are matched, against a glossary made from printed books."""

from itertools import permutations

import glossary
import reading

from workbook.music.terms import TERMS


def check(exercise):
    """Each word has one meaning in the list, by the glossary, and it is the one with its number."""
    words = {blank.column: blank.answer for blank in reading.answers(exercise, "term")}
    numbers = {blank.column: blank.answer for blank in reading.answers(exercise, "entry")}
    assert list(words) == list(numbers) == list(range(exercise.figure.rows))
    assert len(set(words.values())) == len(words) == len(exercise.choices) >= 3
    for row, word in words.items():
        fitting = [
            number
            for number, meaning in enumerate(exercise.choices, 1)
            if glossary.fits(word, meaning)
        ]
        assert fitting == [int(numbers[row])], (word, exercise.choices)


def test_words_and_meanings():
    for exercise in reading.sample("term-matching", seeds=20, keys=reading.ALL_KEYS[:1]):
        check(exercise)


def test_words_that_may_stand_together_are_told_apart():
    for one, other in permutations(TERMS, 2):
        if not one.senses & other.senses:
            assert not glossary.fits(one.word, other.meaning), (one.word, other.word)
