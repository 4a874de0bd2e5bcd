"""Which exercises stand in a column and which fill the measure; the frame of each.

In: a plan and its paper. Out: for each item, the columns of its row, and the frame in which its
music is engraved. Like exercises of a section are set alike.
"""

from __future__ import annotations

from collections import defaultdict
from functools import partial

from workbook import design
from workbook.design import HANDS, Hand
from workbook.engraving import figures
from workbook.engraving.frame import Frame, lead, one_line
from workbook.engraving.line_breaks import is_run
from workbook.exercises.figures import Keyboard
from workbook.exercises.labels import says_nothing
from workbook.exercises.model import Exercise
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.typesetting import text
from workbook.typesetting.figured import Grammar

EXAMPLE = "Example"
"""The tag of a worked example."""


def hand_of(plan: Plan, paper: Paper) -> str:
    """The name of the hand that a plan's workbook is for, as it is on this paper."""
    return paper.hand(plan.row.template.hand)


def frames(plan: Plan, paper: Paper) -> list[Frame]:
    """The frame of each of a plan's ``drawn`` items, in their order."""
    size, most = hand_of(plan, paper), most_columns(plan, paper)
    found = {
        number: frame
        for section in plan.sections
        for number, frame in frames_of(section, paper, size, most).items()
    }
    return [found[item.number] for item in plan.drawn]


def most_columns(plan: Plan, paper: Paper) -> int:
    """The most columns of a row: 3, or 2 where any items have room in two columns but not in
    three, for the columns of a book are of one width.
    """
    if not any(_is_short(item.exercise) for item in plan.items):
        return 2
    size = hand_of(plan, paper)
    counts = {
        count
        for section in plan.sections
        for count in column_counts(section, paper, size, 3).values()
    }
    return 2 if 2 in counts else 3


def frames_of(section: PlannedSection, paper: Paper, size: str, most: int) -> dict[int, Frame]:
    """The frame of each item of a section, and of its example, by number."""
    return section.once(_frames_of, paper, size, most)


def _frames_of(section: PlannedSection, paper: Paper, size: str, most: int) -> dict[int, Frame]:
    space = HANDS[size].space
    counts = column_counts(section, paper, size, most)
    start = section.once(_lead)
    if paper.tight and all(
        staff.lines == 5 and is_run(staff)
        for item in shown(section)
        for staff in item.exercise.staves
    ):
        start -= design.RUN_LEAD
    return {
        item.number: Frame(round(paper.column_of(counts[item.number]) / space, 3), start, size)
        for item in shown(section)
    }


def shown(section: PlannedSection) -> tuple[Item, ...]:
    """The contents of a section: the example and the items."""
    return (section.example, *section.items) if section.example else section.items


def _lead(section: PlannedSection) -> float:
    return lead(item.exercise for item in shown(section) if not item.exercise.figure)


def column_counts(section: PlannedSection, paper: Paper, size: str, most: int) -> dict[int, int]:
    """In how many columns, at ``most``, the row of each item is divided, by the item's number: 1
    if the item fills the measure. Similar items are set in the same way.
    """
    return section.once(_column_counts, paper, size, most)


def _column_counts(section: PlannedSection, paper: Paper, size: str, most: int) -> dict[int, int]:
    alike: dict[tuple[object, ...], list[Item]] = defaultdict(list)
    for item in shown(section):
        alike[_kind(item.exercise)].append(item)
    start, task = section.once(_lead), section.items[0].exercise.task
    found: dict[int, int] = {}
    for items in alike.values():
        columns = next(
            (
                count
                for count in range(most, 1, -1)
                if not paper.narrow
                and (count == 2 or _fill_threes(items))
                and all(_fits(one, task, paper.column_of(count), start, size) for one in items)
            ),
            1,
        )
        found.update((item.number, columns) for item in items)
    if section.example:  # as wide as what it is an example of, though it may be shorter
        asked = {blank.asks for blank in section.example.exercise.blanks}
        like = [
            found[item.number]
            for item in section.items
            if asked & {blank.asks for blank in item.exercise.blanks}
        ]
        found[section.example.number] = min([found[section.example.number], *like])
    return found


def _fill_threes(items: list[Item]) -> bool:
    """Whether these items may stand three in a row: the shortest ones, if none is left over."""
    few = all(_is_short(item.exercise) for item in items)
    return few and len(items) >= 3 and len(items) % 3 != 1


def _is_short(exercise: Exercise) -> bool:
    return bool(exercise.staves) and len(exercise.staves[0].events) <= design.FEW_NOTES


def _writes_on_both(exercise: Exercise) -> bool:
    """Whether chords for two hands are written, which needs room for a pencil."""
    staves = exercise.staves
    written = exercise.roomy or any(e.written for staff in staves for e in staff.events)
    return len(staves) > 1 and written


def _fits(item: Item, task: str, column: float, start: float, size: str) -> bool:
    """Whether an item has room in a column. A keyboard may have a label of two lines."""
    hand, exercise = HANDS[size], item.exercise
    lines = 2 if isinstance(exercise.figure, Keyboard) and exercise.figure.marked else 1
    return (
        _task_fits(item, task, column, hand)
        and not _writes_on_both(exercise)
        and label_lines(item, column, hand) <= lines
        and _music_fits(exercise, column, start, size)
    )


def tag_width(item: Item, hand: Hand) -> float:
    """The width of an item's number, or of the tag of an example, in points."""
    if item.number > 0:
        return text.width(f"{item.number}", "bold", hand.text)
    return text.width(EXAMPLE, "bold", hand.text) + 2 * design.TAG_PAD


def shown_label(item: Item) -> str:
    """The label beside an item's number; none if it would add nothing."""
    return "" if says_nothing(item.exercise.label) else item.exercise.label


def grammar(exercise: Exercise) -> Grammar:
    """How numerals and figures in its label and task are read; in those of rhythms, which have a
    staff of one line, 6/4 is a time.
    """
    return "" if any(staff.lines == 1 for staff in exercise.staves) else "words"


def label_lines(item: Item, column: float, hand: Hand) -> int:
    """The lines that the label of an item takes in a column, beside its number and its score."""
    room = (
        column
        - tag_width(item, hand)
        - design.NUMBER_GAP
        - (design.ITEM_SCORE if item.points else 0.0)
    )
    return item.exercise.once(_label_lines, shown_label(item), hand.text, room)


def _label_lines(_exercise: Exercise, label: str, size: float, room: float) -> int:
    return len(text.wrap(label, "regular", size, room))


def _music_fits(exercise: Exercise, column: float, start: float, size: str) -> bool:
    if exercise.figure:
        return exercise.once(_FIGURES[size]) <= design.FIGURE_SHRUNK * column
    return one_line(exercise, column / HANDS[size].space, start, size)


def _figure_width(exercise: Exercise, size: str) -> float:
    return figures.draw(exercise, size).width if exercise.figure else 0.0


_FIGURES = {size: partial(_figure_width, size=size) for size in HANDS}


def _task_fits(item: Item, task: str, column: float, hand: Hand) -> bool:
    """Whether an item has only the section's ``task``, or a short task of its own."""
    if item.exercise.task == task:
        return True
    lines = text.wrap(item.exercise.task, "regular", hand.text, column)
    return len(lines) <= design.TASK_LINES


def _kind(exercise: Exercise) -> tuple[object, ...]:
    """What similar exercises have in common: the rows of their boxes and, unless they are rhythms,
    their columns: the time signature of a rhythm does not change how it is set.
    """
    staves = exercise.staves
    columns = len(staves[0].events) if staves and staves[0].lines > 1 else 0
    return columns, type(exercise.figure), frozenset(blank.asks for blank in exercise.blanks)
