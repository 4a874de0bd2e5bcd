"""How outcomes become points. The three ways are common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import floor

from workbook.marking.outcome import Outcome
from workbook.record.model import Marking


def points(rule: Marking, full: int, outcomes: Iterable[Outcome]) -> float:
    """The points of an item worth ``full``: a whole or a half number from 0 to ``full``.

    SHARE: the share of right boxes, rounded to half points, a quarter up. ONE_OFF: one point
    off for each box that is wrong or empty. ALL_OR_NOTHING: ``full`` if all boxes are right.
    Raises ValueError if there is no outcome, or one is not marked yet.
    """
    found = list(outcomes)
    if not found or Outcome.NOT_MARKED in found:
        raise ValueError("points can be told only when every box is marked")
    right = found.count(Outcome.RIGHT)
    if rule == Marking.ONE_OFF:
        return float(max(0, full - (len(found) - right)))
    if rule == Marking.ALL_OR_NOTHING:
        return float(full if right == len(found) else 0)
    return floor(Fraction(2 * full * right, len(found)) + Fraction(1, 2)) / 2
