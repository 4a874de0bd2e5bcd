"""Transposed melodies, against music21's transposition of each note by the keys' interval."""

from music21 import interval as m21interval
from reading import key, notes, read, sample, scale, theirs_key

from workbook.music.keys import ALL_KEYS


def check(exercise):
    """Each note of the second half is that of the first, moved as far as the tonic is."""
    words = exercise.label.split(",")[0].split(" ")
    source, direction, goal = words[0], words[2], words[4]
    assert (read(goal), words[5]) == theirs_key(exercise) and words[1] == words[5]
    assert key(f"{source} {words[1]}").sharps == exercise.staves[0].events[0].signature.fifths
    for staff in exercise.staves:
        half = len(staff.events) // 2
        assert half == exercise.settings["notes"]
        found = notes(staff)
        shift = m21interval.Interval(found[0], found[half])
        assert m21interval.Interval(found[half - 1], found[-1]).directedName == shift.directedName
        assert (shift.semitones > 0) == (direction == "up") and abs(shift.semitones) < 12
        for here, there in zip(found[:half], found[half:], strict=True):
            assert here.transpose(shift).nameWithOctave == there.nameWithOctave
        assert (found[half - 1].name, found[-1].name) == (read(source), read(goal))
        forms = ("natural", "harmonic") if exercise.key.minor else ("major",)
        own = {p.name for form in forms for p in scale(read(goal), form)}
        assert {p.name for p in found[half:]} <= own
        signatures = {n: e.signature for n, e in enumerate(staff.events) if e.signature}
        assert list(signatures) == [0, half] and signatures[half] == exercise.key
        given = [n for n, e in enumerate(staff.events) if not e.written]
        assert given == list(range(len(given))) and len(given) >= half


def test_melodies_to_transpose():
    for exercise in sample("melody-transposition", 2, ALL_KEYS[::4]):
        check(exercise)
