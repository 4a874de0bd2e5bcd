"""Intervals that are named, written or counted, against music21's intervals."""

from functools import cache

import pytest
import reading
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import pitch as m21pitch
from reading import sample, spelled, theirs, theirs_key


@cache
def between(low: str, high: str) -> m21interval.Interval:
    return m21interval.Interval(m21pitch.Pitch(low), m21pitch.Pitch(high))


@cache
def reached(base: str, name: str) -> m21pitch.Pitch:
    return m21interval.Interval(name).transposePitch(m21pitch.Pitch(base))


_NUMBERS = "second third fourth fifth sixth seventh octave ninth tenth eleventh twelfth"
WORDS = {str(number): word for number, word in enumerate(_NUMBERS.split(), 2)}


def check(exercise):
    """Every answer from the notes on the staff, and the interval's label, by music21 alone."""
    {
        "interval-quality": check_quality,
        "interval-building": check_building,
        "half-steps": check_half_steps,
    }[exercise.family](exercise)


def check_quality(exercise):
    for staff in exercise.staves:
        answers = {b.column: b for b in exercise.blanks if b.hand == staff.hand}
        pairs = [[theirs(p) for p in event.pitches] for event in staff.events]
        columns = list(range(len(pairs)))
        if "melodic" in exercise.label.lower():
            columns = columns[1::2]
            pairs = [[*one, *other] for one, other in zip(pairs[::2], pairs[1::2], strict=True)]
        assert sorted(answers) == columns and len(pairs) == 6
        for column, (first, second) in zip(columns, pairs, strict=True):
            low, high = sorted((first, second), key=lambda p: p.diatonicNoteNum)
            name = between(low.nameWithOctave, high.nameWithOctave).name
            number = name[1:]
            assert (int(number) > 8) == ("compound" in exercise.label.lower())
            assert answers[column].answer == name
            for other in answers[column].also:
                assert number in other or WORDS[number] in other
                assert other[0].lower() in (name[0].lower(), "+", "°")
            if "above the tonic" in exercise.label:
                assert low is first and low.name == theirs_key(exercise)[0]


def check_building(exercise):
    """The written note lies the label's interval from the printed one; by number alone, all
    notes are music21's of the key that is named."""
    down = "below" in exercise.label
    by_number = "note of the key" in exercise.task
    tonic, mode = theirs_key(exercise)
    own = {p.name for p in reading.scale(tonic, "natural" if mode == "minor" else "major", 1)}
    blanks = {(b.hand, b.column): b.answer for b in exercise.blanks if b.asks == "notes"}
    for staff in exercise.staves:
        labels = {
            b.column: b for b in exercise.blanks if b.asks == "interval" and b.hand == staff.hand
        }
        melodic = exercise.task.startswith("Next to")
        assert len(staff.events) == len(labels) * (2 if melodic else 1) and len(labels) == 4
        for column, label in labels.items():
            if melodic:
                (base,), (other,) = (staff.events[at].pitches for at in (column - 1, column))
                assert staff.events[column - 1].written == ()
            else:
                assert exercise.task.startswith("Under" if down else "Over")
                base, other = staff.events[column].pitches[:: -1 if down else 1]
            assert label.given and abs(theirs(other).alter) <= 2
            number = label.answer.lstrip("PMmAd")
            assert (int(number) > 8) == ("ompound" in exercise.label)
            steps = (int(number) - 1) * (-1 if down else 1)
            assert theirs(other).diatonicNoteNum == theirs(base).diatonicNoteNum + steps
            if by_number:
                assert number == label.answer and {theirs(base).name, theirs(other).name} <= own
            else:
                goal = reached(theirs(base).nameWithOctave, "-" * down + label.answer)
                assert theirs(other).nameWithOctave == goal.nameWithOctave
            answer = blanks.pop((staff.hand, column), None)
            assert staff.events[column].written == (() if answer is None else (other,))
            assert answer in (None, spelled(theirs(other)))
    assert not blanks
    if by_number:
        assert exercise.label.split(",")[0] == f"{spelled(own_tonic(tonic))} {mode}"


def check_half_steps(exercise):
    own = notes_of_key(*theirs_key(exercise))
    for staff in exercise.staves:
        answers = {b.column: b.answer for b in exercise.blanks if b.hand == staff.hand}
        assert len(staff.events) == 3 * len(answers)
        for column, answer in answers.items():
            first, empty, second = staff.events[column - 1 : column + 2]
            assert not empty.pitches
            pair = [theirs(p) for event in (first, second) for p in event.pitches]
            apart = between(*(p.nameWithOctave for p in pair)).semitones
            assert int(answer) == abs(apart) > 0
            assert {p.name for p in pair} <= own


@cache
def own_tonic(tonic: str) -> m21pitch.Pitch:
    return m21pitch.Pitch(tonic)


@cache
def notes_of_key(tonic: str, mode: str) -> set[str]:
    key = m21key.Key(tonic, mode)
    leading = [reached(key.tonic.name, "M7")] if mode == "minor" else []
    return {p.name for p in (*key.pitches, *leading)}


@pytest.mark.parametrize("fixed", [{}, {"notes": "melodic", "size": "compound"}])
def test_interval_quality(fixed):
    for exercise in sample("interval-quality", **fixed):
        check(exercise)


@pytest.mark.parametrize(
    "fixed",
    [
        {},
        {"label": "number", "notes": "harmonic", "direction": "below"},
        {"size": "compound", "qualities": "all", "notes": "harmonic", "direction": "below"},
    ],
)
def test_interval_building(fixed):
    for exercise in sample("interval-building", **fixed):
        check(exercise)


def test_half_steps():
    for exercise in sample("half-steps"):
        check(exercise)
