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

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from workbook.estimates.prior import Floats, Prior
from workbook.estimates.results import Cell, Estimate, Result

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
"""So many exercises for each cell, and their columns are put together."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


class Belief:
    """The logits of a student's cells: means, covariances, and the marks they rest on.

    The covariance is never stored in full. It is that of the prior minus ``_learnt`` times its own
    transpose, where every exercise has a column; with time, the columns shrink. There are many
    more cells than exercises of one student, at first.
    """

    def __init__(self, cells: Iterable[Cell], prior: Prior | None = None):
        self.cells = tuple(dict.fromkeys(cells))
        self.place = {cell: number for number, cell in enumerate(self.cells)}
        prior = prior or Prior()
        self._before = prior.between(self.cells)
        self._learnt = np.zeros((len(self.cells), 0))
        self._mean = prior.mean(self.cells)
        self._marks = np.zeros(len(self.cells), dtype=int)
        self._floors: dict[str, float] = {}
        self._week: float | None = None

    def learn(self, results: Sequence[Result]) -> None:
        """Add the results of one day. Raises KeyError for an unknown cell."""
        if not results:
            return
        self.wait(results[0].week)
        at = np.array([self.place[one.cell] for one in results])
        share = np.array([one.right / one.boxes for one in results])
        boxes = np.array([one.boxes for one in results])
        floor = np.array([one.floor for one in results])
        self._observe(at, share, boxes, floor)
        for one, place in zip(results, at):
            self._mean[place] += LEARNING / (1 + np.exp(self._mean[place]))
            self._marks[place] += one.boxes
            self._floors[one.cell.skill] = one.floor

    def wait(self, week: float) -> None:
        """Let time pass until ``week``; earlier weeks change nothing."""
        if self._week is not None and week > self._week:
            self._learnt *= np.sqrt((1 - DRIFT) ** (week - self._week))
        self._week = week if self._week is None else max(week, self._week)

    def logits(self, cells: Sequence[Cell]) -> tuple[Floats, Floats]:
        """Means and variances of the cells' logits, guessing apart."""
        at = [self.place[cell] for cell in cells]
        return self._mean[at], self._variance(at)

    def floor(self, skill: str) -> float:
        """The guessing floor of the last exercise of a skill; 0 before the first."""
        return self._floors.get(skill, 0.0)

    def estimates(
        self, cells: Sequence[Cell] | None = None, widen: float = 1.0
    ) -> dict[Cell, Estimate]:
        """How likely the next box is right in each of the cells, by default in all.

        ``widen`` stretches the bands (see ``calibration``).
        """
        return self.seen(self.cells if cells is None else cells).estimates(widen)

    def seen(self, cells: Sequence[Cell]) -> Seen:
        """What is believed about the cells at this moment."""
        at = [self.place[cell] for cell in cells]
        floor = np.array([self.floor(cell.skill) for cell in cells])
        return Seen(tuple(cells), self._mean[at], self._variance(at), floor, self._marks[at].copy())

    def _variance(self, at: Sequence[int]) -> Floats:
        found: Floats = self._before.variance - (self._learnt[at] ** 2).sum(axis=1)
        return found

    def _observe(
        self, at: NDArray[np.intp], share: Floats, boxes: NDArray[np.int_], floor: Floats
    ) -> None:
        columns = self._before.columns(at) - _product(self._learnt, self._learnt[at].T)
        before, among = self._mean[at], columns[at]
        here = before
        for _ in range(_STEPS):
            known = 1 / (1 + np.exp(-here))
            right = floor + (1 - floor) * known
            slope = (1 - floor) * known * (1 - known)
            noise = right * (1 - right) / boxes / slope**2 + EXERCISE**2
            seen = here + (share - right) / slope
            spread = among.copy()
            spread.ravel()[:: len(at) + 1] += noise
            weights = np.linalg.solve(spread, seen - before)
            there = np.clip(before + among @ weights, -_FURTHEST, _FURTHEST)
            settled = np.abs(there - here).max() < 0.02
            here = there
            if settled:
                break
        self._mean += np.einsum("ij,j->i", columns, weights)
        turn = np.linalg.inv(np.linalg.cholesky(spread)).T
        self._learnt = np.hstack([self._learnt, _product(columns, turn)])
        if self._learnt.shape[1] > _WIDE * len(self.cells):
            _, together = np.linalg.qr(self._learnt.T)
            self._learnt = together.T


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
        reach = BAND * widen * np.sqrt(self.variance)
        certain = np.zeros_like(self.mean)
        means = likely(self.mean, self.variance * widen**2, self.floor).tolist()
        lows = likely(self.mean - reach, certain, self.floor).tolist()
        highs = likely(self.mean + reach, certain, self.floor).tolist()
        found = map(Estimate._make, zip(means, lows, highs, self.marks.tolist()))
        return dict(zip(self.cells, found))


def _product(left: Floats, right: Floats) -> Floats:
    """The product of two matrices, in blocks of at most ``_ONE_THREAD`` multiplications each.

    Larger products are shared among threads by OpenBLAS, which wait for one another longer than
    they work if other programs use the cores too (measured on a busy host: four times the work,
    three times as long).
    """
    step = max(_ONE_THREAD // max(right.size, 1), 1)
    if step >= len(left):
        whole: Floats = left @ right
        return whole
    return np.vstack([left[at : at + step] @ right for at in range(0, len(left), step)])


def likely(mean: Floats, variance: Floats, floor: Floats) -> Floats:
    """How likely a box is right: the mean over the logit and over exercises of the cell."""
    spread = np.sqrt(variance + EXERCISE**2)
    known = 1 / (1 + np.exp(-(mean[:, None] + spread[:, None] * _NODES)))
    return floor + (1 - floor) * (known @ _WEIGHTS)


def by_day(results: Iterable[Result]) -> list[tuple[float, list[Result]]]:
    """The results of each day, in the order of time."""
    ordered = sorted(results, key=lambda one: one.week)
    return [(week, list(found)) for week, found in groupby(ordered, key=lambda one: one.week)]
