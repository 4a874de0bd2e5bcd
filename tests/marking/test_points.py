"""Points from outcomes, in each of the three ways."""

from math import isclose

import pytest

from workbook.marking.outcome import Outcome
from workbook.marking.points import points
from workbook.record.model import Marking

RIGHT, WRONG, EMPTY = Outcome.RIGHT, Outcome.WRONG, Outcome.EMPTY


@pytest.mark.parametrize(
    "rule, full, right, wrong, empty, got",
    [
        (Marking.ONE_OFF, 6, 8, 0, 0, 6),
        (Marking.ONE_OFF, 6, 6, 1, 1, 4),
        (Marking.ONE_OFF, 2, 1, 7, 0, 0),
        (Marking.ALL_OR_NOTHING, 4, 7, 0, 0, 4),
        (Marking.ALL_OR_NOTHING, 4, 7, 0, 1, 0),
        (Marking.SHARE, 6, 3, 1, 0, 4.5),
        (Marking.SHARE, 1, 1, 3, 0, 0.5),
        (Marking.SHARE, 1, 1, 0, 4, 0),
        (Marking.SHARE, 1, 3, 1, 0, 1),
        (Marking.SHARE, 3, 1, 3, 0, 1),
        (Marking.SHARE, 5, 0, 3, 0, 0),
    ],
)
def test_points(rule, full, right, wrong, empty, got):
    assert points(rule, full, [RIGHT] * right + [WRONG] * wrong + [EMPTY] * empty) == got


def test_share_is_the_nearest_half():
    for full in range(1, 11):
        for boxes in range(1, 31):
            for right in range(boxes + 1):
                got = points(Marking.SHARE, full, [RIGHT] * right + [EMPTY] * (boxes - right))
                exact = full * right / boxes
                assert abs(got - exact) <= 0.25 + 1e-9 and (2 * got).is_integer()
                assert got > exact or not isclose(exact - got, 0.25)


def test_not_yet():
    for outcomes in ([], [RIGHT, Outcome.NOT_MARKED]):
        with pytest.raises(ValueError, match="every box"):
            points(Marking.SHARE, 6, outcomes)
