"""How many exercises go on a sheet: what is reckoned is near the truth, and is planned seldom."""

from __future__ import annotations

from dataclasses import replace
from itertools import chain

import pytest

from workbook.builds import fitting
from workbook.builds.fitting import Fitting
from workbook.builds.heights import Heights
from workbook.builds.orders import read_orders
from workbook.planning.aimed import Target
from workbook.planning.cells import cells
from workbook.studio.settings import BuildSettings

STUDENTS, PAGES = 4, 2


@pytest.fixture(scope="module")
def orders():
    rows = [
        {"student": f"Student {number}", "template": "level-01", "title": "Week"}
        for number in range(STUDENTS)
    ]
    return read_orders(rows, BuildSettings())


def maker(order, start):
    """Orders with so many of the level's cells, from ``start`` on."""
    found = list(cells(order.row.template, order.row.keys).items())
    targets = [Target(cell, ways[0]) for cell, ways in found[start:]]
    return lambda count: (replace(order, targets=tuple(targets[:count])), count)


@pytest.fixture(scope="module")
def planned(orders):
    """Each sheet that was fitted to its pages, and how many were planned for it."""
    found, fit = [], Fitting("seed", orders.tables)
    whole, calls = Fitting._planned, []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Fitting, "_planned", lambda *of: calls.append(1) or whole(*of))
        for number, order in enumerate(orders.orders):
            before = len(calls)
            made, count = fit.fitted(maker(order, 3 * number), PAGES, 5)
            found.append((made, count, len(calls) - before))
    return found


def pages(order):
    return fitting.page_count(list(chain.from_iterable(order.laid.parts)), order.paper)


def test_sheets_have_the_pages_asked_for(planned):
    assert [pages(order) for order, _, _ in planned] == [PAGES] * STUDENTS
    assert all(len(order.targets) == count for order, count, _ in planned)


def test_most_sheets_are_planned_once_or_twice(planned):
    assert sum(plans for _, _, plans in planned[1:]) <= 2 * (STUDENTS - 1)


def test_hardly_more_exercises_would_fit(orders, planned):
    """Nothing is left out but what a second look at each sheet would bring: one in ten."""
    fit, missing = Fitting("seed", orders.tables), 0
    for number, (_, count, _) in enumerate(planned):
        make, more = maker(orders.orders[number], 3 * number), count + 1
        while fit._planned(*make(more))[2] <= PAGES:
            more += 1
        missing += more - 1 - count
    assert missing <= sum(count for _, count, _ in planned) / 10


def test_nothing_is_told_before_a_sheet_is_known(orders, planned):
    heights, (order, _, _) = Heights(), planned[0]
    assert heights.pages(order) is None
    heights.learn(order, order.laid.parts)
    assert heights.pages(order) == PAGES
    assert heights.pages(replace(order, targets=order.targets * 3)) > PAGES


def test_an_exercise_that_does_not_fit_is_set_alone(orders):
    made, count = Fitting("seed", orders.tables).fitted(maker(orders.orders[0], 0), 0, 5)
    assert count == len(made.targets) == 1
