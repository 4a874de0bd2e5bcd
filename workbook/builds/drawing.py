"""Books of orders: their plans, with every exercise engraved.

In: orders with their plans. Out: a ``Book`` for each. All of them, whatever their paper, are
engraved in one go.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import PurePath
from typing import NamedTuple

from workbook.builds.books import Book
from workbook.builds.orders import Order
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.pages.columns import frames
from workbook.pages.layout import lay_out
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan

Engrave = Callable[[list[Exercise], list[Frame]], Sequence[Snippet]]
"""Engraves exercises in their frames."""
Plans = Callable[[Order], Sequence[Plan]]
"""The plans of an order, one for each form."""


class Planned(NamedTuple):
    """A workbook to be engraved for ``paper``, and its folder in the build."""

    plan: Plan
    folder: PurePath
    paper: Paper


def drawn_books(
    planned: Sequence[Planned],
    engrave: Engrave,
    framed: Callable[[Plan, Paper], Sequence[Frame]] = frames,
) -> list[Book]:
    """A book for each of ``planned``, in their order; ``framed`` gives the frames of a plan."""
    snippets = iter(
        engrave(
            [item.exercise for one in planned for item in one.plan.drawn],
            [frame for one in planned for frame in framed(one.plan, one.paper)],
        )
    )
    return [
        Book(plan, tuple(next(snippets) for _ in plan.drawn), folder, paper)
        for plan, folder, paper in planned
    ]


def order_books(orders: Sequence[Order], plans: Plans, engrave: Engrave) -> list[Book]:
    """The books of all forms of orders, in their order.

    A weekly sheet that is longer than its pages loses one exercise after the other.
    """
    planned = [_planned(order, plans) for order in orders]
    books = iter(drawn_books([one for some in planned for one in some], engrave))
    return [
        book
        for order, some in zip(orders, planned)
        for book in _fitted(order, [next(books) for _ in some], plans, engrave)
    ]


def _planned(order: Order, plans: Plans) -> list[Planned]:
    return [Planned(plan, order.place(plan.form), order.paper) for plan in plans(order)]


def _fitted(order: Order, books: list[Book], plans: Plans, engrave: Engrave) -> list[Book]:
    """The books of an order, of which each is on no more pages than wanted, if that can be."""
    pages = order.row.template.pages if order.weekly else None
    while pages and any(_length(book) > pages for book in books):
        if len(books[0].plan.items) == 1:
            break
        order = replace(order, left_out=order.left_out + 1)
        books = drawn_books(_planned(order, plans), engrave)
    return books


def _length(book: Book) -> int:
    snippets = {item.number: one for item, one in zip(book.plan.drawn, book.snippets)}
    return pages_of(book.plan, snippets, book.paper)


def pages_of(plan: Plan, snippets: Mapping[int, Snippet], paper: Paper) -> int:
    """The number of pages of a workbook. ``snippets`` has those of its items by number."""
    return len(lay_out(plan, dict(snippets), paper))
