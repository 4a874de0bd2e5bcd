"""How high music will be, before it is engraved.

In: an exercise and its frame. Out: a height in staff spaces. The figures are fitted to what
LilyPond drew of the built-in templates; of scales it is 4 % higher or lower (standard deviation).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from workbook.engraving.frame import Frame, lines
from workbook.engraving.rows import box_rows
from workbook.exercises.model import Event, Exercise, Staff
from workbook.music.pitch import pitch, staff_degree

_STAFF, _ONE_LINE = 7.4, 7.2
"""A staff with the space around it; one of a single line, for rhythms."""
BETWEEN, _BOXES = 4.75, 1.05
"""Between two lines of music; what boxes take, as a multiple of their height."""
_BEYOND, _OTTAVA, _WRITING = 0.7, 2.1, 1.9
"""Each space by which notes stand beyond the staff; an octave line; room to write notes."""
_ENDS = {
    clef: (staff_degree(pitch(low)), staff_degree(pitch(high)))
    for clef, low, high in (("treble", "E4", "F5"), ("bass", "G2", "A3"))
}
"""The notes on the lowest and the highest line of a staff."""


def expected_height(exercise: Exercise, frame: Frame) -> float:
    """The height of the music of an exercise that has staves."""
    boxes = sum(max(map(row.height, row.stacks)) for row in box_rows(exercise, frame.size))
    writes = any(event.written for staff in exercise.staves for event in staff.events)
    ends = [0, *(end + 1 for end in lines(exercise, frame)), len(exercise.staves[0].events)]
    found = BETWEEN * (len(ends) - 2)
    for start, end in pairwise(ends):
        found += _BOXES * boxes + _WRITING * writes
        found += sum(_height(staff, staff.events[start:end]) for staff in exercise.staves)
    return found


def _height(staff: Staff, events: Sequence[Event]) -> float:
    """The height of a staff with these of its notes."""
    if staff.lines == 1:
        return _ONE_LINE
    above = below = 0
    for event in events:
        low, high = _ENDS[event.clef]
        for p in event.pitches:
            printed = staff_degree(p) - 7 * event.ottava
            above, below = max(above, printed - high), max(below, low - printed)
    shifted = any(event.ottava for event in events)
    return _STAFF + _BEYOND * (above + below) / 2 + _OTTAVA * shifted
