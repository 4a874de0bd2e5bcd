"""After a bar line, whatever follows stands clear of it: one staff space at least.

Read from finished answer keys by ``drawn``. The distance is common practice, no source.
"""

import pytest
from drawn import pictures

from workbook import build
from workbook.engraving.snippet import STAFF_SPACE

BAR = 0.95
"""The width of a bar line in points."""


def clearances(path):
    """The distance from each bar line within a line to the next head or accidental, in staff
    spaces."""
    for name, printed, written in pictures(path):
        signs = [*printed.signs, *written.signs]
        for x, foot, top in printed.bars if printed.lines else ():
            after = [
                (at - x - BAR, sign)
                for at, y, sign in signs
                if at > x + 0.5 and sign and foot - 22 < y < top + 22
            ]
            # a clef follows the line at the start of a system
            if after and not min(after)[1].startswith("clefs"):
                yield min(after)[0] / STAFF_SPACE, name


@pytest.mark.parametrize(
    "level, keys",
    [
        ("level-01", "C major; A minor"),
        pytest.param("level-05", "C major; A minor", marks=pytest.mark.sweep),
        ("level-08", "Gb major; Ab minor"),
    ],
)
def test_what_follows_a_bar_line_stands_clear_of_it(tmp_path, level, keys):
    (one,) = build([{"student": "Wren", "template": level, "keys": keys}], tmp_path)
    found = sorted(clearances(one.folder / "answer-key.pdf"))
    assert len(found) > 20 and found[0][0] >= 0.98, found[:3]
