"""What several pages show in the same way.

In: progress. Out: grids of squares, each with its estimate and its band in per cent.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook.estimates.results import Cell
from workbook.pages.progress import WIDE
from workbook.weeks.progress import Progress


@dataclass(frozen=True)
class Square:
    """An estimate in per cent with its band; ``mean`` is None for a cell that was not met.

    ``shade`` counts from 0 (unlikely) to 4. ``wide`` is True if there are few marks.
    """

    mean: int | None
    low: int = 0
    high: int = 0
    safe: bool = False
    wide: bool = False

    @property
    def shade(self) -> int:
        return min((self.mean or 0) // 20, 4)


def squares(one: Progress) -> list[list[Square | None]]:
    """A row for each skill with a square for each key; None where the two do not go together."""
    return [[_square(one, Cell(skill, key)) for key in one.keys] for skill in one.skills]


def _square(one: Progress, cell: Cell) -> Square | None:
    found = one.estimates.get(cell)
    if found is None:
        return None
    if not found.marks:
        return Square(None)
    low, mean, high = (round(100 * share) for share in (found.low, found.mean, found.high))
    return Square(mean, low, high, one.is_safe(cell), found.high - found.low > WIDE)
