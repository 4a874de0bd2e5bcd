"""How many exercises fit on a sheet of so many pages.

In: an order with targets for any number of exercises. Out: the order whose pages are not more
than asked for, with as many exercises as possible.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from workbook.builds.orders import Fingerings, Order
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.pages.columns import frames
from workbook.pages.layout import lay_out
from workbook.planning.exercise_pool import ExercisePool

_MOST = 60
"""The most exercises of a week's sheet."""
Aimed = TypeVar("Aimed")


class Fitting:
    """Counts pages; what is engraved for that is in the cache when the sheets are built."""

    def __init__(self, seed: str, tables: Fingerings):
        self._seed, self._tables = seed, tables
        self._pool, self._cache = ExercisePool(), Cache(folder())

    def pages(self, order: Order) -> int:
        """The number of pages of an order's workbook."""
        (plan,) = order.plans(self._seed, self._tables, 1, self._pool)
        exercises = [item.exercise for item in plan.drawn]
        snippets = engrave(exercises, frames=frames(plan, order.paper), cache=self._cache)
        return len(lay_out(plan, {i.number: s for i, s in zip(plan.drawn, snippets)}, order.paper))

    def fitted(
        self, make: Callable[[int], tuple[Order, Aimed]], pages: int, first: int
    ) -> tuple[Order, Aimed]:
        """The order of ``make(count)`` with the most exercises that fit on ``pages`` pages.

        ``first`` is the count to begin with. If not even one exercise fits, it is set alone.
        """
        count = max(1, min(first, _MOST))
        found = make(count)
        if self.pages(found[0]) > pages:
            while count > 1 and self.pages(found[0]) > pages:
                count -= 1
                found = make(count)
            return found
        while count < _MOST:
            more = make(count + 1)
            if len(more[0].targets) == len(found[0].targets) or self.pages(more[0]) > pages:
                break
            count, found = count + 1, more
        return found
