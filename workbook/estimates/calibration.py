"""How often next week's marks fell into the 80 % band, and how far to widen it if too seldom.

Nothing is stored: the log is made again from the results. Each day's marks are compared with what
was believed before that day.

A number of right boxes is a count, so it may fill a probability of its own that lies across
the end of the band. It then counts as inside by the share that is (the non-randomized
probability integral transform of Czado, Gneiting and Held, Biometrics 65, 2009, 1254-1261).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import comb
from typing import NamedTuple

import numpy as np

from workbook.estimates.belief import EXERCISE, Belief, Seen, by_day, learn_together
from workbook.estimates.prior import Floats
from workbook.estimates.results import Cell, Result

LOW, HIGH = 0.1, 0.9
FEWEST = 50
"""With fewer exercises in the log, the band stays as it is."""
WIDEST = 2.6
"""The band is not stretched further; beyond that, the model is wrong in another way."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


class Forecast(NamedTuple):
    """What was believed about an exercise before it was marked, and its result.

    ``mean`` and ``variance`` are those of the cell's logit.
    """

    mean: float
    variance: float
    floor: float
    right: int
    boxes: int


@dataclass(frozen=True)
class Calibration:
    """``cover`` is the share of ``exercises`` inside the band as it was; 0.8 is wanted.

    ``widen`` is the factor, at least 1, by which bands must be stretched to reach it.
    ``brier`` is the Brier score of the boxes (Brier, Monthly Weather Review 78, 1950): the
    mean square of the distance between what was likely and what came, 0 at best.
    """

    exercises: int
    cover: float
    widen: float
    brier: float


@dataclass(frozen=True)
class Course:
    """The outcome of going once through a student's results.

    ``log`` has a forecast of every result. ``before`` is what was believed after all days but
    the last, None without two; ``now`` what is believed in the end.
    """

    log: tuple[Forecast, ...]
    before: Seen | None
    now: Seen


def course(results: Iterable[Result], cells: Sequence[Cell], week: float | None = None) -> Course:
    """Go through results in the order of time; ``cells`` are those that are reported.

    ``now`` is at ``week``, by default on the last result's day.
    """
    (found,) = courses([(results, cells)], week)
    return found


def courses(
    students: Iterable[tuple[Iterable[Result], Sequence[Cell]]], week: float | None = None
) -> list[Course]:
    """The ``course`` of each student, all in a fraction of the time that one by one takes."""
    walks = [_Walk(results, cells) for results, cells in students]
    for number in range(max((len(one.days) for one in walks), default=0)):
        some = [one for one in walks if number < len(one.days)]
        for one, logits in zip(some, learn_together([one.day(number) for one in some])):
            one.learnt(number, *logits)
    return [one.course(week) for one in walks]


class _Walk:
    """On the way through the results of one student."""

    def __init__(self, results: Iterable[Result], cells: Sequence[Cell]):
        self.days = [found for _, found in by_day(results)]
        self._cells = cells
        self._belief = Belief(cells)
        place = self._belief.place
        if others := [one.cell for found in self.days for one in found if one.cell not in place]:
            self._belief = Belief([*cells, *others])
        self._log: list[Forecast] = []
        self._before: Seen | None = None

    def day(self, number: int) -> tuple[Belief, Sequence[Result]]:
        """The results of a day, and the belief that is to learn from them."""
        if number and number == len(self.days) - 1:
            self._before = self._belief.seen(self._cells)
        return self._belief, self.days[number]

    def learnt(self, number: int, means: Floats, variances: Floats) -> None:
        """Note what was believed about the logits of a day's results before."""
        self._log += [
            Forecast(mean, variance, one.floor, one.right, one.boxes)
            for mean, variance, one in zip(
                means.tolist(), variances.tolist(), self.days[number], strict=True
            )
        ]

    def course(self, week: float | None) -> Course:
        """The outcome, at ``week``."""
        if week is not None:
            self._belief.wait(week)
        return Course(tuple(self._log), self._before, self._belief.seen(self._cells))


def forecasts(results: Iterable[Result], cells: Sequence[Cell] = ()) -> list[Forecast]:
    """A forecast of every result, made from the results of earlier days."""
    return list(course(results, cells).log)


def calibration(log: Sequence[Forecast]) -> Calibration:
    """What the log of one or more students says about the band."""
    if not log:
        return Calibration(0, 0.0, 1.0, 0.0)
    told = _table(log)
    found = _cover(told, 1.0)
    widen = 1.0 if len(log) < FEWEST or found >= HIGH - LOW else _widen(told)
    return Calibration(len(log), found, widen, _brier(told))


def _table(log: Sequence[Forecast]) -> Floats:
    """The log with a row for each field of ``Forecast``."""
    return np.array([np.array(field, dtype=float) for field in zip(*log)])


def _widen(told: Floats) -> float:
    """The factor, 1 to ``WIDEST`` in tenths, that first reaches the cover, by halving."""
    low, high = 10, round(10 * WIDEST)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _cover(told, middle / 10) >= HIGH - LOW else (middle, high)
    return high / 10


def cover(log: Sequence[Forecast], widen: float = 1.0) -> float:
    """The share of the log inside the 80 % band, stretched by ``widen``."""
    return _cover(_table(log), widen)


def _cover(told: Floats, widen: float) -> float:
    counts = told[-1]
    inside = sum(
        _inside(told[:, counts == boxes], int(boxes), widen) for boxes in np.unique(counts)
    )
    return inside / len(counts)


def _inside(told: Floats, boxes: int, widen: float) -> float:
    """How many of the forecasts, all of ``boxes`` boxes, came true within the band."""
    right = _right(told, widen)[:, :, None]
    counts = np.arange(boxes + 1)
    ways = np.array([comb(boxes, count) for count in counts], dtype=float)
    chances = _WEIGHTS @ (ways * right**counts * (1 - right) ** (boxes - counts))
    upper = np.minimum(np.cumsum(chances, axis=1), 1.0)
    found = told[3].astype(int)
    rows = np.arange(len(found))
    top, chance = upper[rows, found], np.maximum(chances[rows, found], 1e-12)
    part = np.minimum(top, HIGH) - np.maximum(top - chance, LOW)
    return float(np.clip(part / chance, 0, 1).sum())


def _right(told: Floats, widen: float) -> Floats:
    """How likely a box is right, forecasts × points over the logit and its uncertainty."""
    mean, variance, floor = told[:3, :, None]
    spread = np.sqrt(variance * widen**2 + EXERCISE**2)
    known = 1 / (1 + np.exp(-(mean + spread * _NODES)))
    result: Floats = floor + (1 - floor) * known
    return result


def _brier(told: Floats) -> float:
    likely = _right(told, 1.0) @ _WEIGHTS
    right, boxes = told[3:]
    return float((right * (1 - likely) ** 2 + (boxes - right) * likely**2).sum() / boxes.sum())
