"""Turns outcomes into points. The three rules are common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import floor

from workbook.marking.outcome import Outcome
from workbook.record.model import Marking


def points(rule: Marking, full: int, outcomes: Iterable[Outcome]) -> float:
    """The points of an item worth ``full``, in whole or half points from 0 to ``full``.

    SHARE: ``full`` times the share of right boxes, rounded to half points, quarters up.
    ONE_OFF: ``full`` less one point for each wrong or empty box. ALL_OR_NOTHING: ``full`` if
    all boxes are right, else 0. Raises ValueError if there are no outcomes or one of them is
    NOT_MARKED.
    """
    found = list(outcomes)
    if not found or Outcome.NOT_MARKED in found:
        raise ValueError("points need every box to be marked")
    right = found.count(Outcome.RIGHT)
    if rule == Marking.ONE_OFF:
        return float(max(0, full - (len(found) - right)))
    if rule == Marking.ALL_OR_NOTHING:
        return float(full if right == len(found) else 0)
    return floor(Fraction(2 * full * right, len(found)) + Fraction(1, 2)) / 2
