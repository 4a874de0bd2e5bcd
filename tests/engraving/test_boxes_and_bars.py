"""Boxes below a staff of one line, whose bar lines reach as low as they do."""

from random import Random

import pytest
from asked import Request

from workbook.engraving.frame import _END, lines, longest, natural
from workbook.engraving.rows import box_rows
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key

CHOSEN = {"metre": "both", "values": "dotted", "rests": True}
HALF, CLEAR = 0.45, 0.25
"""Half of a double bar line, and the least space between it and a box, in staff spaces."""


@pytest.mark.parametrize("size", ["young", "middle", "grown"])
def test_a_box_begins_after_the_bar_line_before_it(size):
    """A bar line is half a column before the note that follows it."""
    family, checked = FAMILIES["time-signatures"], 0
    request = Request(parse_key("C major"), "right", family.asks, 0, 2, CHOSEN)
    for number in range(100):
        exercise = family.make(request, Random(number))
        frame, events = natural(exercise, size), exercise.staves[0].events
        ends = lines(exercise, frame)
        pitch = (frame.width - frame.lead) / (longest(ends, len(events)) + _END)
        (row,) = (row for row in box_rows(exercise, size) if row.asks == "metre")
        within = {column for column in row.stacks if column and column - 1 not in ends}
        if any(events[column - 1].after for column in within):
            assert pitch / 2 - row.box[0] * row.before >= HALF + CLEAR
            checked += 1
    assert checked > 30
