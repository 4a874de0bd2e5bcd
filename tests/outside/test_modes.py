"""Modes that the student writes, against the modes of music21 (see reading.py)."""

from functools import cache

import reading
from music21 import pitch as m21pitch
from music21 import scale as m21scale

MODES = {
    "Dorian": m21scale.DorianScale,
    "Phrygian": m21scale.PhrygianScale,
    "Lydian": m21scale.LydianScale,
    "Mixolydian": m21scale.MixolydianScale,
    "Locrian": m21scale.LocrianScale,
}


@cache
def names_up(tonic: str, mode: str) -> list[str]:
    low = m21pitch.Pitch(tonic + "3")
    found = MODES[mode](low).getPitches(low, low.transpose("P8"))
    return [p.name for p in sorted(found, key=lambda p: p.diatonicNoteNum)]


def check(exercise):
    """The notes are the mode of the label, and have the signs of the exercise's key."""
    tonic, mode = exercise.label.split(",")[0].split(" ")
    down = "going down" in exercise.label
    names = names_up(reading.read(tonic), mode)[:: -1 if down else 1]
    own = "natural" if exercise.key.minor else "major"
    assert set(names) == {p.name for p in reading.scale(reading.theirs_key(exercise)[0], own, 1)}
    assert not exercise.signed and len(names) == 8
    for staff in exercise.staves:
        found = reading.notes(staff)
        assert [p.name for p in found] == names, exercise.label
        numbers = [p.diatonicNoteNum for p in found]
        assert [n - min(numbers) for n in numbers] == list(range(8))[:: -1 if down else 1]
        blanks = {b.column: b for b in reading.answers(exercise, "notes", staff.hand)}
        for column, event in enumerate(staff.events):
            assert bool(event.written) == (column in blanks)
            if event.written:
                assert reading.read(blanks[column].answer) == names[column]


def test_modes():
    labels = set()
    for exercise in reading.sample("modes"):
        check(exercise)
        labels.add(exercise.label.split(",")[0])
    assert len(labels) == 15 * len(MODES)
