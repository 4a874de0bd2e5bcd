"""Triad qualities against music21's analysis of the notes on the staff."""

from music21 import chord as m21chord
from reading import SOME_KEYS, sample, theirs

WORDS = {"major": "major", "minor": "minor", "diminished": "dim", "augmented": "aug"}


def check(exercise):
    """Each box names the triad that music21 finds in its column; all kinds of the task occur."""
    asked = exercise.task.removeprefix("Write what each triad is: ").rstrip(".")
    for staff in exercise.staves:
        chords = [m21chord.Chord([theirs(p) for p in event.pitches]) for event in staff.events]
        found = {b.column: b.answer for b in exercise.blanks if b.hand == staff.hand}
        assert found == {column: WORDS[chord.quality] for column, chord in enumerate(chords)}
        assert set(found.values()) == set(asked.replace(" or ", ", ").split(", "))
        if "root position" in exercise.label:
            # an augmented triad sounds alike in all positions: its spelling tells
            assert all(_thirds(chord) for chord in chords)


def _thirds(chord) -> bool:
    low, *_ = steps = [p.diatonicNoteNum for p in chord.pitches]
    return [step - low for step in steps] == [0, 2, 4]


def test_triad_quality():
    counts = {"major, minor, dim or aug": 0, "major or minor": 0}
    for exercise in sample("triad-quality", keys=SOME_KEYS):
        check(exercise)
        counts[exercise.task.removeprefix("Write what each triad is: ").rstrip(".")] += 1
    assert min(counts.values()) >= 40
