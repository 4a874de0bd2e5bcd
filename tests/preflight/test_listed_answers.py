"""What a list of answers must say of rows that take turns."""

import pytest

from workbook.preflight.answer_list import _agree

DEGREES = [(0, "1"), (1, "5"), (2, "3")]
NAMES = [(0, "tonic"), (1, "dominant"), (2, "mediant")]
CADENCES = [(2, "half")]
WANTED = [[DEGREES, NAMES, CADENCES], [[(0, "also note 2: 7, note 3: 1")]]]
NOTES = ["also note 2: 7,", "note 3: 1"]


@pytest.mark.parametrize(
    "lines",
    [
        ["1 5 3", "tonic dominant mediant", "half", *NOTES],
        ["1 5", "tonic dominant", "3", "mediant", "half", *NOTES],
        ["1", "tonic", "(2)", "5 3", "dominant mediant", "half", *NOTES],
    ],
)
def test_rows_may_take_turns(lines):
    assert _agree(lines, WANTED)


@pytest.mark.parametrize(
    "lines",
    [
        ["tonic dominant mediant", "1 5 3", "half", *NOTES],
        ["1 5 3", "tonic dominant", "mediant", "half", *NOTES],
        ["1 5", "tonic dominant", "half", "3", "mediant", *NOTES],
        ["1 5 3", "tonic dominant mediant", *NOTES],
        ["1 3 5", "tonic dominant mediant", "half", *NOTES],
        ["1 5 3", "tonic dominant mediant", "half", NOTES[0]],
        ["1 5 3", "tonic dominant mediant", "half", *NOTES, "4"],
    ],
)
def test_no_row_runs_ahead_or_is_left_out(lines):
    assert not _agree(lines, WANTED)
