"""Books of orders: their plans, with every exercise engraved.

In: orders with their plans. Out: a ``Book`` for each. All of them, whatever their paper, are
engraved in one go.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import PurePath
from typing import NamedTuple

from workbook.builds.books import Book
from workbook.builds.orders import Laid
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.pages.columns import frames
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan

Engrave = Callable[[list[Exercise], list[Frame]], Sequence[Snippet]]
"""Engraves exercises in their frames."""


class Planned(NamedTuple):
    """A workbook to be engraved for ``paper``, and its folder in the build.

    ``laid`` is what was engraved and laid out of it already.
    """

    plan: Plan
    folder: PurePath
    paper: Paper
    laid: Laid | None = None


def drawn_books(
    planned: Sequence[Planned],
    engrave: Engrave,
    framed: Callable[[Plan, Paper], Sequence[Frame]] = frames,
) -> list[Book]:
    """A book for each of ``planned``, in their order; ``framed`` gives the frames of a plan."""
    new = [one for one in planned if not one.laid]
    snippets = iter(
        engrave(
            [item.exercise for one in new for item in one.plan.drawn],
            [frame for one in new for frame in framed(one.plan, one.paper)],
        )
    )
    return [
        Book(plan, laid.snippets, folder, paper, laid.parts)
        if laid
        else Book(plan, tuple(next(snippets) for _ in plan.drawn), folder, paper)
        for plan, folder, paper, laid in planned
    ]
