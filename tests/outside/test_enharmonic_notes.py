"""Notes spelled in another way, against music21's pitches."""

from reading import read, sample, theirs


def check(exercise):
    """Each pair is one piano key with two letters, neither with a double sign."""
    for staff in exercise.staves:
        blanks = {b.column: b.answer for b in exercise.blanks if b.hand == staff.hand}
        pairs = list(zip(staff.events[::2], staff.events[1::2], strict=True))
        firsts = set()
        for number, (first, second) in enumerate(pairs):
            (one,), (other,) = ([theirs(p) for p in event.pitches] for event in (first, second))
            assert one.ps == other.ps and one.step != other.step
            assert max(abs(one.alter), abs(other.alter)) <= 1 and not first.written
            firsts.add(one.name)
            column = 2 * number + 1
            assert bool(second.written) == (column in blanks)
            if column in blanks:
                assert read(blanks[column]) == other.name
        assert len(firsts) == len(pairs) == 4


def test_respelling():
    found = list(sample("enharmonic-notes", seeds=4))
    for exercise in found:
        check(exercise)
    assert len(found) == 360
