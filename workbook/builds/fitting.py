"""How many exercises fit on a sheet with a given number of pages.

In: an order with targets for any number of exercises. Out: the order with about as many exercises
as fit on the pages asked for, and with its plan. What fits is estimated from the heights of
exercises laid out before, so that most sheets are planned once.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace
from itertools import chain
from typing import TypeVar

from workbook.builds.heights import Heights
from workbook.builds.orders import Fingerings, Laid, Order
from workbook.cancel import Cancel
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.pages.columns import frames
from workbook.pages.flow import page_count
from workbook.pages.layout import blocks
from workbook.planning.exercise_pool import ExercisePool

_MOST = 60
"""The most exercises of a week's sheet."""
Aimed = TypeVar("Aimed")
Make = Callable[[int], tuple[Order, Aimed]]
"""Makes the order of a sheet with so many exercises, or with all that there are."""


class Fitting:
    """Counts pages; what is engraved and laid out for that is passed to the build with the order.

    ``cancel`` cancels it; ``executor`` runs LilyPond, as in ``engrave``.
    """

    def __init__(
        self,
        seed: str,
        tables: Fingerings,
        cancel: Cancel | None = None,
        executor: Executor | None = None,
    ):
        self._seed, self._tables, self._cancel = seed, tables, cancel
        self._executor = executor
        self._pool, self._cache = ExercisePool(), Cache(folder())
        self._heights = Heights()

    def fitted(self, make: Make[Aimed], pages: int, first: int) -> tuple[Order, Aimed]:
        """The order of ``make(count)`` with as many exercises as fit on ``pages`` pages.

        ``first`` is the count to begin with. If not even one exercise fits, it is set alone.
        """
        count = self._reckoned(make, max(1, min(first, _MOST)), pages)
        order, aimed, needed = self._planned(*make(count))
        if needed <= pages:
            more = self._reckoned(make, count, pages, needed)
            while more > count:
                longer, others, needed = self._planned(*make(more))
                if needed <= pages:
                    return longer, others
                more -= 1
            return order, aimed
        while count > 1 and needed > pages:
            count = min(count - 1, self._reckoned(make, count, pages))
            order, aimed, needed = self._planned(*make(count))
        return order, aimed

    def _reckoned(
        self, make: Make[Aimed], count: int, pages: int, needed: int | None = None
    ) -> int:
        """The most exercises that will fit, as far as is known; ``count`` if nothing is.

        ``needed`` is the number of pages of ``count`` exercises if they were laid out.
        """
        order, _ = make(count)
        needed = needed or self._heights.pages(order)
        if needed is None:
            return count
        while needed > pages and count > 1:
            count -= 1
            needed = self._heights.pages(make(count)[0]) or 0
            if needed <= pages:
                return count
        while needed <= pages and count < _MOST:
            longer, _ = make(count + 1)
            if len(longer.targets) == len(order.targets):
                break
            reckoned = self._heights.pages(longer)
            if reckoned is None:
                break
            order, needed = longer, reckoned
            count += needed <= pages
        return count

    def _planned(self, order: Order, aimed: Aimed) -> tuple[Order, Aimed, int]:
        """The order with its plan, its aims, and the number of pages of its workbook."""
        (plan,) = order.plans(self._seed, self._tables, 1, self._pool)
        exercises = [item.exercise for item in plan.drawn]
        snippets = engrave(
            exercises,
            frames=frames(plan, order.paper),
            cache=self._cache,
            cancel=self._cancel,
            executor=self._executor,
        )
        drawn = {item.number: one for item, one in zip(plan.drawn, snippets)}
        parts = blocks(plan, drawn, order.paper)
        self._heights.learn(order, parts)
        needed = page_count(list(chain.from_iterable(parts)), order.paper)
        laid = Laid(plan, tuple(snippets), parts)
        return replace(order, plan=plan, laid=laid), aimed, needed
