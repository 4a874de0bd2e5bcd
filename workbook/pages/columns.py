"""Which exercises stand in a column and which fill the measure; the frame of each.

In: a plan and its paper. Out: for each item, whether it is short, and the frame in which its
music is engraved. Like exercises of a section are set alike.
"""

from __future__ import annotations

from collections import defaultdict
from functools import partial

from workbook.design import HANDS, Hand
from workbook.engraving import figures
from workbook.engraving.frame import Frame, lead, one_line
from workbook.exercises.model import Exercise
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.typesetting import text

EXAMPLE = "Example"
"""The tag of a worked example."""
TAG_PAD = 8.0
"""Points from the end of the tag to its word."""
NUMBER_GAP = 9.0
"""Points from an item's number to its label."""
_POINTS = 62.0
"""Points for the score of an item at the right of its label."""

_SHRUNK = 1.08
"""A figure that is wider than a column by no more than this is drawn smaller."""


def hand_of(plan: Plan) -> str:
    """The name of the hand that a plan's workbook is for."""
    return plan.row.template.hand


def frames(plan: Plan, paper: Paper) -> list[Frame]:
    """The frame of each of a plan's ``drawn`` items, in their order."""
    size = hand_of(plan)
    found = {
        number: frame
        for section in plan.sections
        for number, frame in _frames(section, paper, size).items()
    }
    return [found[item.number] for item in plan.drawn]


def _frames(section: PlannedSection, paper: Paper, size: str) -> dict[int, Frame]:
    space = HANDS[size].space
    short = short_items(section, paper, size)
    start = _lead(section)
    return {
        item.number: Frame(
            round((paper.column if item.number in short else paper.measure) / space, 3),
            start,
            size,
        )
        for item in shown(section)
    }


def shown(section: PlannedSection) -> tuple[Item, ...]:
    """What stands in a section: the example, and the items."""
    return (section.example, *section.items) if section.example else section.items


def _lead(section: PlannedSection) -> float:
    return lead(item.exercise for item in shown(section) if not item.exercise.figure)


def short_items(section: PlannedSection, paper: Paper, size: str) -> frozenset[int]:
    """The numbers of the items that stand in a column of the page."""
    if paper.narrow:
        return frozenset()
    hand, start = HANDS[size], _lead(section)
    task = section.items[0].exercise.task
    fits: dict[tuple[object, ...], bool] = defaultdict(lambda: True)
    for item in shown(section):
        fits[_kind(item.exercise)] &= (
            _task(item, task)
            and label_width(item, hand) <= paper.column
            and _music_fits(item.exercise, paper.column, start, size)
        )
    return frozenset(item.number for item in shown(section) if fits[_kind(item.exercise)])


def tag_width(item: Item, hand: Hand) -> float:
    """The width of an item's number, or of the tag of an example, in points."""
    if item.number > 0:
        return text.width(f"{item.number}", "bold", hand.text)
    return text.width(EXAMPLE, "bold", hand.text) + 2 * TAG_PAD


def label_width(item: Item, hand: Hand) -> float:
    """The width of number, label and score on one line, in points."""
    number = tag_width(item, hand)
    label = text.width(item.exercise.label, "regular", hand.text)
    return number + NUMBER_GAP + label + (_POINTS if item.points else 0.0)


def _music_fits(exercise: Exercise, column: float, start: float, size: str) -> bool:
    if exercise.figure:
        return exercise.once(_FIGURES[size]) <= _SHRUNK * column
    return one_line(exercise, column / HANDS[size].space, start, size)


def _figure_width(exercise: Exercise, size: str) -> float:
    return figures.draw(exercise.figure, size).width if exercise.figure else 0.0


_FIGURES = {size: partial(_figure_width, size=size) for size in HANDS}


def _task(item: Item, task: str) -> bool:
    """Whether an item's task is ``task``; an example has none."""
    return item.number < 0 or item.exercise.task == task


def _kind(exercise: Exercise) -> tuple[object, ...]:
    """What like exercises have in common: their columns, and the rows of their boxes."""
    columns = len(exercise.staves[0].events) if exercise.staves else 0
    return columns, type(exercise.figure), frozenset(blank.asks for blank in exercise.blanks)
