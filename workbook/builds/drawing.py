"""Books of orders: their plans, with every exercise engraved.

In: orders with their plans. Out: a ``Book`` for each. Paper of another size has shorter lines
of music, and so a run of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import PurePath
from typing import NamedTuple

from workbook.builds.books import Book
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan

Engrave = Callable[[list[Exercise], int], Sequence[Snippet]]
"""Engraves exercises in lines of so many millimetres."""


class Planned(NamedTuple):
    """A workbook to be engraved for ``paper``, and its folder in the build."""

    plan: Plan
    folder: PurePath
    paper: Paper


def drawn_books(planned: Sequence[Planned], engrave: Engrave) -> list[Book]:
    """A book for each of ``planned``, in their order."""
    drawn: dict[int, Iterator[Snippet]] = {}
    for width in dict.fromkeys(one.paper.line_width for one in planned):
        some = [one for one in planned if one.paper.line_width == width]
        exercises = [item.exercise for one in some for item in one.plan.items]
        drawn[width] = iter(engrave(exercises, width))
    return [
        Book(plan, tuple(next(drawn[paper.line_width]) for _ in plan.items), folder, paper)
        for plan, folder, paper in planned
    ]
