"""What is believed about a student after each sheet: a Kalman filter over all cells.

In: results in the order of time. Out: ``Belief``; see ``calibration.course``.

The exercises of one day make one step, iterated until the straight line that stands for
the curve of the logit lies where the answers put it (the iterated extended Kalman filter:
Bell and Cathey, IEEE Transactions on Automatic Control 38, 1993, from memory). What is
observed is the share of right boxes. It varies as a binomial does, and by ``EXERCISE``
besides, since boxes of one exercise are right or wrong together.

Between sheets a student learns and changes. Each exercise raises the logit of its cell, as
in performance factors analysis (Pavlik, Cen and Koedinger, AIED 2009), where practice adds
to the logit and right and wrong answers add differently; here in proportion to
what was not known. The law is taken at about half of its likely size, so that "safe" has to be
earned by marks. With every week, the belief drifts back towards the prior covariance.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import exp, sqrt

import numpy as np
from numpy.typing import NDArray

from workbook.estimates.prior import Believed, Floats, Prior
from workbook.estimates.results import Cell, Estimate, Estimates, Level, Result

EXERCISE = 0.5
"""How much one exercise is harder or easier than another of its cell, in logits."""
LEARNING = 0.7
"""What an exercise adds to its cell's logit, times how likely a box was not known."""
DRIFT = 0.07
"""The share of certainty that is lost in a week."""
BAND = 1.2816
"""Standard deviations on either side that hold 80 % of a normal distribution."""

_STEPS, _FURTHEST = 5, 6.0
_ONE_THREAD = 2**18
_WIDE = 3
"""So many exercises for each cell, and their rows are put together."""
_ROOM = 64
"""Rows of exercises for which there is room at first."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@lru_cache(maxsize=32)
def _before(cells: tuple[Cell, ...], prior: Prior) -> tuple[Mapping[Cell, int], Believed]:
    """The places of cells, and what is believed about them before the first mark."""
    return {cell: number for number, cell in enumerate(cells)}, prior.of(cells)


class Belief:
    """The logits of a student's cells: means, covariances, and the marks they rest on.

    The covariance is never stored in full. It is that of the prior minus the transpose of
    ``_learnt`` times ``_learnt``, where every exercise has a row; with time, the rows shrink. There
    are many more cells than exercises of one student, at first.
    """

    def __init__(self, cells: Iterable[Cell], prior: Prior | None = None):
        self.cells = cells if isinstance(cells, Level) else Level(dict.fromkeys(cells))
        self.place, self._before = _before(self.cells, prior or Prior())
        self._rows = np.empty((_ROOM, len(self.cells)))
        self._learnt = self._rows[:0]
        self._mean = self._before.mean
        self._marks = np.zeros(len(self.cells), dtype=int)
        self._floors: dict[str, float] = {}
        self._week: float | None = None

    def learn(self, results: Sequence[Result]) -> None:
        """Add the results of one day. Raises KeyError for an unknown cell."""
        if results:
            learn_together([(self, results)])

    def wait(self, week: float) -> None:
        """Let time pass until ``week``; earlier weeks change nothing."""
        if self._week is not None and week > self._week:
            self._learnt *= sqrt((1 - DRIFT) ** (week - self._week))
        self._week = week if self._week is None else max(week, self._week)

    def logits(self, cells: Sequence[Cell]) -> tuple[Floats, Floats]:
        """Means and variances of the cells' logits, guessing apart."""
        at = [self.place[cell] for cell in cells]
        return self._mean[at], self._variance(self._learnt[:, at])

    def means(self, at: NDArray[np.intp]) -> Floats:
        """The means of the logits at the places ``at``."""
        return self._mean[at]

    def estimates(
        self, cells: Sequence[Cell] | None = None, widen: float = 1.0
    ) -> dict[Cell, Estimate]:
        """How likely the next box is right in each of the cells, by default in all.

        ``widen`` stretches the bands (see ``calibration``).
        """
        return self.seen(self.cells if cells is None else cells).estimates(widen)

    def seen(self, cells: Sequence[Cell]) -> Seen:
        """What is believed about the cells at this moment."""
        known = tuple(cells)
        if self.cells is cells or self.cells[: len(known)] == known:
            at = np.arange(len(known))
        else:
            at = np.array([self.place[cell] for cell in cells], dtype=np.intp)
        floors = np.array([self._floors.get(skill, 0.0) for skill in self._before.skills])
        return Seen(
            known,
            self._mean[at],
            self._variance(self._learnt)[at],
            floors[self._before.skill_of[at]],
            self._marks[at],
        )

    def _variance(self, learnt: Floats) -> Floats:
        found: Floats = self._before.variance - np.einsum("ij,ij->j", learnt, learnt)
        return found

    def observed(self, at: NDArray[np.intp]) -> Floats:
        """The covariances of the cells at the places ``at`` with all cells, places × cells."""
        rows = self._before.rows(at)
        rows -= _product(self._learnt[:, at].T, self._learnt)
        return rows

    def take(
        self, results: Sequence[Result], at: NDArray[np.intp], change: Floats, rows: Floats
    ) -> None:
        """Add the results of a day, given what they change in the means, and their rows."""
        self._mean += change
        self._append(rows)
        for one, place in zip(results, at.tolist()):
            self._mean[place] += LEARNING / (1 + exp(self._mean[place]))
            self._marks[place] += one.boxes
            self._floors[one.cell.skill] = one.floor

    def _append(self, rows: Floats) -> None:
        """Add rows to what was learnt."""
        count, cells = len(self._learnt) + len(rows), len(self.cells)
        if count > len(self._rows):
            longer = np.empty((2 * count, cells))
            longer[: len(self._learnt)] = self._learnt
            self._rows = longer
        self._rows[count - len(rows) : count] = rows
        self._learnt = self._rows[:count]
        if count > _WIDE * cells:
            _, together = np.linalg.qr(self._learnt)
            self._rows = self._learnt = together


def learn_together(
    days: Iterable[tuple[Belief, Sequence[Result]]],
) -> list[tuple[Floats, Floats]]:
    """Add the results of one day, at least one, of each of several students.

    Returns for each what was believed about the logits of its results before, as
    ``Belief.logits`` does. The steps of all students are taken together: each is small, and to
    call numpy takes longer than its work. Raises KeyError for an unknown cell.
    """
    told = [_Day(belief, results) for belief, results in days]
    spread, weights = _weighed(told)
    turn = np.linalg.inv(np.linalg.cholesky(spread))
    for number, day in enumerate(told):
        count = len(day.results)
        day.take(weights[number, :count], turn[number, :count, :count])
    return [(day.before, day.among.diagonal()) for day in told]


class _Day:
    """The results of a student on one day, and what was believed before about their cells."""

    def __init__(self, belief: Belief, results: Sequence[Result]):
        self.results, self._belief = results, belief
        belief.wait(results[0].week)
        self._at = np.array([belief.place[one.cell] for one in results])
        self._rows = belief.observed(self._at)
        self.among = self._rows[:, self._at]
        self.before = belief.means(self._at)

    def take(self, weights: Floats, turn: Floats) -> None:
        """Pass to the belief what the weighed results change."""
        rows = self._rows
        change = np.einsum("i,ij->j", weights, rows)
        self._belief.take(self.results, self._at, change, _product(turn, rows))


def _weighed(days: Sequence[_Day]) -> tuple[Floats, Floats]:
    """The covariances of what was seen on each day, and the weight of each of its results.

    Shorter days are filled up with results that say nothing and touch no others.
    """
    count = max(len(day.results) for day in days)
    among = np.zeros((len(days), count, count))
    before, share, boxes, floor = np.zeros((4, len(days), count))
    share += 0.5
    boxes += 1
    for number, day in enumerate(days):
        some = len(day.results)
        among[number, :some, :some], before[number, :some] = day.among, day.before
        told = [(one.right / one.boxes, one.boxes, one.floor) for one in day.results]
        share[number, :some], boxes[number, :some], floor[number, :some] = zip(*told)
    here, rest = before, 1 - floor
    diagonal = np.arange(count)
    for _ in range(_STEPS):
        known = 1 / (1 + np.exp(-here))
        right = floor + rest * known
        slope = rest * known * (1 - known)
        noise = right * (1 - right) / boxes / slope**2 + EXERCISE**2
        seen = here + (share - right) / slope
        spread = among.copy()
        spread[:, diagonal, diagonal] += noise
        weights = np.linalg.solve(spread, (seen - before)[:, :, None])[:, :, 0]
        there = before + np.einsum("kij,kj->ki", among, weights)
        there = np.minimum(np.maximum(there, -_FURTHEST), _FURTHEST)
        moving = abs(there - here).max(axis=1) >= 0.02
        if not moving.any():
            break
        here = np.where(moving[:, None], there, here)
    return spread, weights.astype(np.float64, copy=False)


@dataclass(frozen=True)
class Seen:
    """A belief at one moment, for each cell separately: its logit's mean and variance, its floor,
    and the number of its marks.
    """

    cells: tuple[Cell, ...]
    mean: Floats
    variance: Floats
    floor: Floats
    marks: NDArray[np.int_]

    def estimates(self, widen: float = 1.0) -> dict[Cell, Estimate]:
        """How likely the next box is right in each cell, with the band stretched by ``widen``."""
        return self.columns(widen).by_cell()

    def columns(self, widen: float = 1.0) -> Estimates:
        """As ``estimates``, in a fraction of the time."""
        reach = BAND * widen * np.sqrt(self.variance)
        certain = np.zeros_like(self.mean)
        means, lows, highs = likely(
            np.concatenate([self.mean, self.mean - reach, self.mean + reach]),
            np.concatenate([self.variance * widen**2, certain, certain]),
            np.concatenate([self.floor] * 3),
        ).reshape(3, -1)
        return Estimates(
            self.cells, means.tolist(), lows.tolist(), highs.tolist(), self.marks.tolist()
        )


def _product(left: Floats, right: Floats) -> Floats:
    """The product of two matrices, in blocks of at most ``_ONE_THREAD`` multiplications each.

    Larger products are shared among threads by OpenBLAS, which wait for one another longer than
    they work if other programs use the cores too (measured on a busy host: four times the work,
    three times as long).
    """
    step = max(_ONE_THREAD // max(left.size, 1), 1)
    if step >= right.shape[1]:
        whole: Floats = left @ right
        return whole
    places = range(0, right.shape[1], step)
    return np.hstack([left @ right[:, at : at + step] for at in places])


def likely(mean: Floats, variance: Floats, floor: Floats) -> Floats:
    """How likely a box is right: the mean over the logit and over exercises of the cell."""
    spread = np.sqrt(variance + EXERCISE**2)
    known = 1 / (1 + np.exp(-(mean[:, None] + spread[:, None] * _NODES)))
    return floor + (1 - floor) * (known @ _WEIGHTS)


def by_day(results: Iterable[Result]) -> list[tuple[float, list[Result]]]:
    """The results of each day, in the order of time."""
    ordered = sorted(results, key=lambda one: one.week)
    return [(week, list(found)) for week, found in groupby(ordered, key=lambda one: one.week)]
