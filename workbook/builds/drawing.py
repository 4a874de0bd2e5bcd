"""Books of orders: their plans, with every exercise engraved.

In: orders with their plans. Out: a ``Book`` for each. All exercises are engraved in one go,
whatever their paper.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import chain
from pathlib import PurePath
from typing import NamedTuple

from workbook.builds.books import Book
from workbook.builds.orders import Laid, Order
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.pages.columns import frames
from workbook.pages.flow import page_count
from workbook.pages.layout import blocks
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan

Engrave = Callable[[list[Exercise], list[Frame]], Sequence[Snippet]]
"""Engraves exercises in their frames."""
Plans = Callable[[Order], Sequence[Plan]]
"""The plans of an order, one for each form."""


class Planned(NamedTuple):
    """A workbook to be engraved for ``paper``, and its folder in the build.

    ``laid`` is what of it has already been engraved and laid out.
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


def order_books(orders: Sequence[Order], plans: Plans, engrave: Engrave) -> list[Book]:
    """The books of all forms of orders, in their order.

    Exercises are taken from a weekly sheet, one by one, until it fits its pages.
    """
    planned = [_planned(order, plans) for order in orders]
    books = iter(drawn_books([one for some in planned for one in some], engrave))
    return [
        book
        for order, some in zip(orders, planned)
        for book in _fitted(order, [next(books) for _ in some], plans, engrave)
    ]


def _planned(order: Order, plans: Plans) -> list[Planned]:
    laid = order.laid
    return [
        Planned(
            plan,
            order.place(plan.form),
            order.paper,
            laid if laid and laid.plan is plan else None,
        )
        for plan in plans(order)
    ]


def _fitted(order: Order, books: list[Book], plans: Plans, engrave: Engrave) -> list[Book]:
    """The books of an order, each on no more pages than wanted, if possible."""
    pages = order.row.template.pages if order.weekly else None
    while pages:
        books = [_laid_out(book) for book in books]
        if len(books[0].plan.items) == 1 or all(_length(book) <= pages for book in books):
            break
        order = replace(order, left_out=order.left_out + 1)
        books = drawn_books(_planned(order, plans), engrave)
    return books


def _laid_out(book: Book) -> Book:
    snippets = {item.number: one for item, one in zip(book.plan.drawn, book.snippets)}
    return replace(book, parts=blocks(book.plan, snippets, book.paper))


def _length(book: Book) -> int:
    return page_count(list(chain.from_iterable(book.parts)), book.paper)
