"""How many exercises fit on a sheet of so many pages.

In: an order with targets for any number of exercises. Out: the order whose pages are not more
than asked for, with as many exercises as possible, and with its plan.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from workbook.builds.orders import Fingerings, Order
from workbook.cancel import Cancel
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.pages.columns import frames
from workbook.pages.layout import lay_out
from workbook.planning.exercise_pool import ExercisePool

_MOST = 60
"""The most exercises of a week's sheet."""
Aimed = TypeVar("Aimed")


class Fitting:
    """Counts pages; what is engraved for that is in the cache when the sheets are built.

    ``cancel`` cancels it.
    """

    def __init__(self, seed: str, tables: Fingerings, cancel: Cancel | None = None):
        self._seed, self._tables, self._cancel = seed, tables, cancel
        self._pool, self._cache = ExercisePool(), Cache(folder())

    def _planned(self, order: Order) -> tuple[Order, int]:
        """The order with its plan, and the number of pages of its workbook."""
        (plan,) = order.plans(self._seed, self._tables, 1, self._pool)
        exercises = [item.exercise for item in plan.drawn]
        snippets = engrave(
            exercises,
            frames=frames(plan, order.paper),
            cache=self._cache,
            cancel=self._cancel,
        )
        drawn = {item.number: one for item, one in zip(plan.drawn, snippets)}
        return replace(order, plan=plan), len(lay_out(plan, drawn, order.paper))

    def fitted(
        self, make: Callable[[int], tuple[Order, Aimed]], pages: int, first: int
    ) -> tuple[Order, Aimed]:
        """The order of ``make(count)`` with the most exercises that fit on ``pages`` pages.

        ``first`` is the count to begin with. If not even one exercise fits, it is set alone.
        """
        count = max(1, min(first, _MOST))
        order, aimed = make(count)
        order, needed = self._planned(order)
        if needed > pages:
            while count > 1 and needed > pages:
                count -= 1
                order, aimed = make(count)
                order, needed = self._planned(order)
            return order, aimed
        while count < _MOST:
            count += 1
            longer, more = make(count)
            if len(longer.targets) == len(order.targets):
                break
            longer, needed = self._planned(longer)
            if needed > pages:
                break
            order, aimed = longer, more
        return order, aimed
