"""Scales that the student writes, against the scales of music21 (see reading.py)."""

import reading


def check(exercise):
    """The notes are the scale of the label, and each written one is a blank's answer."""
    tonic, form = reading.key(exercise.label), reading.form(exercise)
    start = reading.start(exercise)
    way = next(w for w in ("up and down again", "up", "down") if f"going {w}," in exercise.task)
    name = tonic.tonic.name
    up = [p.name for p in reading.scale(name, form)][start - 1 : start + 7]
    low = [p.name for p in reading.scale(name, form, down=True)][::-1]
    down = low[start - 1 : start + 7][::-1]
    wanted = {"up": up, "down": down, "up and down again": up + down[1:]}[way]
    steps = {"up": range(8), "down": range(7, -1, -1)}.get(way, [*range(8), *range(6, -1, -1)])
    for staff in exercise.staves:
        found = reading.notes(staff)
        assert [p.name for p in found] == wanted, exercise.label
        numbers = [p.diatonicNoteNum for p in found]
        assert [number - min(numbers) for number in numbers] == list(steps)
        blanks = {b.column: b for b in reading.answers(exercise, "notes", staff.hand)}
        for column, event in enumerate(staff.events):
            assert bool(event.written) == (column in blanks)
            if event.written:
                assert reading.read(blanks[column].answer) == wanted[column]


def test_scales_to_write():
    for exercise in reading.sample("scale-writing"):
        check(exercise)
