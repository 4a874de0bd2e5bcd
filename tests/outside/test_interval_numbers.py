"""Numbers of intervals, simple, inverted and compound, against music21's intervals."""

import pytest
import reading
from reading import answers, sample, theirs
from test_intervals_read import between

WORDS = {
    number: {str(number), *words.split()}
    for number, words in {
        1: "1st unison prime",
        2: "2nd second",
        3: "3rd third",
        4: "4th fourth",
        5: "5th fifth",
        6: "6th sixth",
        7: "7th seventh",
        8: "8th 8ve octave",
        9: "9th ninth",
        10: "10th tenth",
        11: "11th eleventh",
        12: "12th twelfth",
    }.items()
}
"""What an interval's number is called: common practice, no source."""


def check(exercise):
    """Each answer from the two notes on the staff; all notes are those of music21's key."""
    tonic, mode = reading.theirs_key(exercise)
    own = {p.name for p in reading.scale(tonic, "natural" if mode == "minor" else "major")}
    melodic, compound = "melodic" in exercise.label, "compound" in exercise.label.lower()
    for staff in exercise.staves:
        blanks = {b.column: b for b in exercise.blanks if b.hand == staff.hand}
        pairs = [[theirs(p) for p in event.pitches] for event in staff.events]
        if melodic:
            assert sorted(blanks) == list(range(1, len(pairs), 2))
            pairs = [[*one, *other] for one, other in zip(pairs[::2], pairs[1::2], strict=True)]
        assert len(pairs) == len(blanks) == 6
        for pair, blank in zip(pairs, (blanks[column] for column in sorted(blanks)), strict=True):
            low, high = sorted(pair, key=lambda p: p.diatonicNoteNum)
            assert {low.name, high.name} <= own
            found = between(low.nameWithOctave, high.nameWithOctave)
            size = found.generic.undirected
            assert (size > 8) == compound
            if "step or skip" in exercise.task:
                assert blank.answer == {2: "step", 3: "skip"}[size]
                size_words = WORDS[size]
                assert set(blank.also) == size_words - {str(size)}
                continue
            if "inversion" in exercise.task:
                size = found.complement.generic.undirected if size < 8 else 1
            assert blank.answer == str(size)
            assert {blank.answer, *blank.also} == WORDS[size]


@pytest.mark.parametrize(
    "fixed",
    [
        {},
        {"size": "steps and skips", "answer": "step or skip"},
        {"size": "steps and skips", "answer": "step or skip", "notes": "melodic"},
        {"size": "compound", "notes": "melodic"},
    ],
)
def test_numbers(fixed):
    count = 0
    for exercise in sample("interval-numbers", **fixed):
        check(exercise)
        count += len(answers(exercise, exercise.blanks[0].asks))
    assert count > 500
