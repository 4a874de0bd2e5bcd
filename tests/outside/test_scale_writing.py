"""Scales that the student writes, against the scales of music21 (see reading.py)."""

import reading


def check(exercise):
    """The notes are the scale of the label, and each written one is a blank's answer."""
    tonic, form = reading.key(exercise.label), reading.form(exercise)
    start = reading.start(exercise)
    wanted = [p.name for p in reading.scale(tonic.tonic.name, form)][start - 1 : start + 7]
    for staff in exercise.staves:
        found = reading.notes(staff)
        assert [p.name for p in found] == wanted, exercise.label
        numbers = [p.diatonicNoteNum for p in found]
        assert numbers == list(range(numbers[0], numbers[0] + 8))
        blanks = {b.column: b for b in reading.answers(exercise, "notes", staff.hand)}
        for column, event in enumerate(staff.events):
            assert bool(event.written) == (column in blanks)
            if event.written:
                assert reading.read(blanks[column].answer) == wanted[column]


def test_scales_to_write():
    for exercise in reading.sample("scale-writing"):
        check(exercise)
