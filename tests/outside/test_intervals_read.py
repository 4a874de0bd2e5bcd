"""Intervals that are named, written or counted, against music21's intervals."""

from functools import cache

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


WORDS = dict(zip("2345678", ("second", "third", "fourth", "fifth", "sixth", "seventh", "octave")))


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
        assert sorted(answers) == list(range(len(staff.events)))
        for column, event in enumerate(staff.events):
            low, high = (theirs(p) for p in event.pitches)
            name = between(low.nameWithOctave, high.nameWithOctave).name
            assert answers[column].answer == name
            for other in answers[column].also:
                assert name[1] in other or WORDS[name[1]] in other
                assert other[0].lower() in (name[0].lower(), "+", "°")
            if "above the tonic" in exercise.label:
                assert low.name == theirs_key(exercise)[0]


def check_building(exercise):
    sign = "" if "above" in exercise.label else "-"
    blanks = {(b.hand, b.column): b.answer for b in exercise.blanks if b.asks == "notes"}
    for staff in exercise.staves:
        labels = {
            b.column: b for b in exercise.blanks if b.asks == "interval" and b.hand == staff.hand
        }
        assert len(staff.events) == 2 * len(labels)
        for column, label in labels.items():
            (base,), (other,) = (staff.events[at].pitches for at in (column - 1, column))
            goal = reached(theirs(base).nameWithOctave, sign + label.answer)
            assert label.given and theirs(other).nameWithOctave == goal.nameWithOctave
            assert abs(goal.alter) <= 2
            assert staff.events[column - 1].written == ()
            answer = blanks.pop((staff.hand, column), None)
            assert staff.events[column].written == (() if answer is None else (other,))
            assert answer in (None, spelled(goal))
    assert not blanks


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
def notes_of_key(tonic: str, mode: str) -> set[str]:
    key = m21key.Key(tonic, mode)
    leading = [reached(key.tonic.name, "M7")] if mode == "minor" else []
    return {p.name for p in (*key.pitches, *leading)}


def test_interval_quality():
    for exercise in sample("interval-quality"):
        check(exercise)


def test_interval_building():
    for exercise in sample("interval-building"):
        check(exercise)


def test_half_steps():
    for exercise in sample("half-steps"):
        check(exercise)
