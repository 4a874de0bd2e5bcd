"""The input and output of the estimates, as plain values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple


class Cell(NamedTuple):
    """A skill in a key, both as ``key.json`` has them.

    ``skill`` is a name such as ``"scale-fingering/left/harmonic"``, ``key`` one such as
    ``"C# minor"``, or "" for what is in no key.
    """

    skill: str
    key: str


class Level(tuple[Cell, ...]):  # noqa: SLOT001 (a tuple can have none)
    """The cells of a level, each once: a tuple that computes its hash only once."""

    _hash: int | None = None

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = super().__hash__()
        return self._hash


@dataclass(frozen=True)
class Result:
    """The marks of one exercise: ``right`` of ``boxes`` were right.

    ``week`` is the time in weeks from any beginning, with days as fractions (see
    ``week_of``). Boxes left empty count as not right; boxes not marked are left out.
    ``floor`` is how often guessing would have been right (see ``guessing``).

    Raises ValueError for impossible numbers.
    """

    week: float
    cell: Cell
    right: int
    boxes: int
    floor: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.right <= self.boxes or self.boxes < 1:
            raise ValueError(f"{self.right} of {self.boxes} boxes cannot be right")
        if not 0 <= self.floor < 1:
            raise ValueError(f"guessing cannot be right {self.floor} of the time")


ENOUGH = 8
"""With fewer marks in a cell there is "not enough yet": one exercise of usual length has more."""


class Estimate(NamedTuple):
    """How likely the next box is right, with the band that holds it in 80 % of cases.

    ``mean``, ``low`` and ``high`` are probabilities. ``marks`` is the number of boxes marked in
    this cell; marks in other cells count too, but less (see ``prior``).
    """

    mean: float
    low: float
    high: float
    marks: int

    @property
    def enough(self) -> bool:
        """False if a page should say "not enough yet"."""
        return self.marks >= ENOUGH


@dataclass(frozen=True)
class Estimates:
    """Estimates of ``cells`` in columns, as in ``Estimate``: most are only compared."""

    cells: Sequence[Cell]
    means: Sequence[float]
    lows: Sequence[float]
    highs: Sequence[float]
    marks: Sequence[int]

    @classmethod
    def of(cls, cells: Sequence[Cell], known: Mapping[Cell, Estimate]) -> Estimates:
        """Those of ``cells`` in ``known``. Raises KeyError for a cell without estimate."""
        rows = [known[cell] for cell in cells]
        return cls(cells, *map(list, zip(*rows))) if rows else cls(cells, (), (), (), ())

    def at(self, place: int) -> Estimate:
        """The estimate of the cell at ``place``."""
        return Estimate(self.means[place], self.lows[place], self.highs[place], self.marks[place])

    def by_cell(self) -> dict[Cell, Estimate]:
        """Every estimate by its cell."""
        rows = zip(self.means, self.lows, self.highs, self.marks)
        return dict(zip(self.cells, map(Estimate._make, rows)))


def safe(estimate: Estimate, threshold: float) -> bool:
    """Whether the low end of the band passes the teacher's threshold, from enough marks."""
    return estimate.enough and estimate.low >= threshold


def week_of(day: date) -> float:
    """The day as a ``week`` of ``Result``."""
    return day.toordinal() / 7
