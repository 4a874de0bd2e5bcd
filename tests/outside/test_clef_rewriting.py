"""Notes rewritten in another clef, against the places that music21 gives to clefs' lines."""

import reading
from music21 import clef as m21clef
from reading import sample, theirs

CLEFS = {"treble": m21clef.TrebleClef(), "bass": m21clef.BassClef()}


def check(exercise):
    """Both staves sound the same, under the clefs of the task, near their lines, in the key."""
    goal = exercise.task.split(" clef")[0].split()[-1]
    tonic, mode = reading.theirs_key(exercise)
    form = "harmonic" if mode == "minor" else "major"
    own = {
        p.name
        for f in {form, "natural" if mode == "minor" else form}
        for p in reading.scale(tonic, f)
    }
    staves = {staff.events[0].clef: staff for staff in exercise.staves}
    assert set(staves) == set(CLEFS)
    blanks = {b.column: b.answer for b in exercise.blanks}
    (other,) = set(CLEFS) - {goal}
    pairs = zip(staves[other].events, staves[goal].events, strict=True)
    for column, (shown, written) in enumerate(pairs):
        (one,), (two,) = shown.pitches, written.pitches
        assert theirs(one).nameWithOctave == theirs(two).nameWithOctave
        assert theirs(one).name in own and not shown.written
        assert bool(written.written) == (column in blanks)
        for name, clef in CLEFS.items():
            line = theirs(one).diatonicNoteNum - clef.lowestLine
            assert -5 <= line <= 13, name  # two ledger lines
        if column in blanks:
            assert reading.read(blanks[column]) == theirs(two).name


def test_rewriting():
    found = list(sample("clef-rewriting", seeds=4))
    for exercise in found:
        check(exercise)
    assert len(found) == 240
