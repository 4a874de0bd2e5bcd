"""The list of answers: what stands in every box of a workbook, in the order of its pages.

In: a plan and its pages. Out: pages. Each row of boxes is a line for each system of music; the
lines stand in two columns, and a table of what else to accept ends the list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain, repeat

from workbook import design
from workbook.design import (
    LIST_ABOVE_SECTION,
    LIST_LETTER,
    LIST_SECTION_BASELINE,
    LIST_SECTION_HEIGHT,
    LIST_SECTION_RULE,
    LIST_STEP,
    LIST_SUBTITLE,
    LIST_TITLE_BASELINE,
    LIST_TITLE_HEIGHT,
)
from workbook.exercises.model import Blank, Exercise
from workbook.marking.answer_rows import Placed
from workbook.pages.accept_table import accept_table
from workbook.pages.answer_block import AnswerBlock, Shape, fitting_size, item_block, shape_of
from workbook.pages.elements import DOCUMENT, Element, Entry, Group, Page, Rule, Start, Text
from workbook.pages.footer import footer
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.typesetting import text

_HELP = "In parentheses: printed as help, not counted"

_Placed = dict[int, list[Placed[Blank]]]
"""The blanks of each item with their places."""


def listed_on(paper: Paper) -> Paper:
    """The paper of the list, in normal size: the marker needs no large print."""
    return replace(paper, size="normal")


def column_places(paper: Paper) -> tuple[float, list[float]]:
    """The width of a column, and how far each is from the left margin, in points."""
    measure = paper.right - paper.left
    count = 2 if measure >= design.NARROW else 1
    width = (measure - design.COLUMN_GAP * (count - 1)) / count
    return width, [number * (width + design.COLUMN_GAP) for number in range(count)]


def lay_out_answers(plan: Plan, pages: Sequence[Page], paper: Paper) -> list[Page]:
    """The list of answers of a workbook that has these ``pages``."""
    paper = listed_on(paper)
    width, lefts = column_places(paper)
    placed = _placed(pages)
    blocks = [block for section in plan.sections for block in _section(section, placed, width)]
    drawn: list[list[Element]] = []
    low = paper.top
    for columns in _columns(blocks, paper, len(lefts)):
        top = paper.top - LIST_TITLE_HEIGHT * (not drawn)
        low = top
        drawn.append(_title(plan, paper) if not drawn else [])
        for left, column in zip(lefts, columns):
            low = min(low, _set(drawn[-1], column, paper.left + left, top))
    _add_table(drawn, accept_table(plan.spellings, paper.right - paper.left), paper, low)
    count = len(drawn)
    return [
        paper.finished(
            Page([*part, *footer(paper, plan, f"page {index + 1} of {count}", "Answers")]), index
        )
        for index, part in enumerate(drawn)
    ]


def _placed(pages: Sequence[Page]) -> _Placed:
    found: _Placed = {}
    for number, page in enumerate(pages):
        for box in page.boxes:
            found.setdefault(box.number, []).append(Placed(box.blank, number, box.rect))
    return found


def _title(plan: Plan, paper: Paper) -> list[Element]:
    y, name = paper.top - LIST_TITLE_BASELINE, "Answers"
    x = paper.left + text.width(name, "bold", design.TITLE) + 13
    helped = any(b.given for item in plan.items for b in item.exercise.blanks)
    room = paper.right - x - (text.width(_HELP, "regular", design.QUIET) + 16) * helped
    subtitle = text.shorten(plan.title, "regular", LIST_SUBTITLE, room)
    elements: list[Element] = [
        Entry(f"Answers: {plan.title}", paper.top),
        Start(DOCUMENT, "H1"),
        Text(paper.left, y, name, "bold", design.TITLE),
        Text(x, y, subtitle, "regular", LIST_SUBTITLE),
    ]
    if helped:
        help_text = Text(paper.right, y, _HELP, "regular", design.QUIET, "right")
        elements += [Start(DOCUMENT, "P"), help_text]
    return elements


def _section(section: PlannedSection, placed: _Placed, width: float) -> Iterator[AnswerBlock]:
    """A section's items; its heading stays with the first."""
    points = f"{section.points} point{'s' * (section.points != 1)}"
    room = width - LIST_LETTER - text.width(points, "regular", design.QUIET) - 8
    group = Group("Sect", DOCUMENT)
    answers = Group("L", group)
    head: tuple[Element, ...] = (
        Start(group, "H2"),
        Text(0.0, -LIST_SECTION_BASELINE, section.letter, "bold", design.TEXT),
        Text(
            LIST_LETTER,
            -LIST_SECTION_BASELINE,
            text.shorten(section.title, "bold", design.TEXT, room),
            "bold",
            design.TEXT,
        ),
        Start(group, "P"),
        Text(width, -LIST_SECTION_BASELINE, points, "regular", design.QUIET, "right"),
        Rule(0.0, -LIST_SECTION_RULE, width, -LIST_SECTION_RULE, 0.8),
    )
    shapes = {item.number: shape_of(item.exercise, placed[item.number]) for item in section.items}
    sizes = _sizes(section, shapes, width)
    first, *others = (
        item_block(item, shapes[item.number], width, answers, sizes[_asked(item)])
        for item in section.items
    )
    below = (element.moved(0.0, -LIST_SECTION_HEIGHT) for element in first.elements)
    yield AnswerBlock((*head, *below), LIST_SECTION_HEIGHT + first.height, LIST_ABOVE_SECTION)
    yield from others


def _sizes(
    section: PlannedSection, shapes: Mapping[int, Shape], width: float
) -> dict[frozenset[str], float]:
    """The font size of the answers of similar items, by what they ask."""
    found: dict[frozenset[str], float] = {}
    for item in section.items:
        size = fitting_size(item, shapes[item.number], width)
        asked = _asked(item)
        found[asked] = min(size, found.get(asked, size))
    return found


def _asked(item: Item) -> frozenset[str]:
    return item.exercise.once(_kinds)


def _kinds(exercise: Exercise) -> frozenset[str]:
    return frozenset(blank.asks for blank in exercise.asked)


def _columns(
    blocks: Sequence[AnswerBlock], paper: Paper, count: int
) -> list[list[list[AnswerBlock]]]:
    """The columns of each page; those of the last page are about equally long."""
    high = paper.top - paper.bottom
    packed = _packed(blocks, chain(repeat(high - LIST_TITLE_HEIGHT, count), repeat(high)))
    pages = [packed[start : start + count] for start in range(0, len(packed), count)]
    last = [block for column in pages[-1] for block in column]
    most = high - LIST_TITLE_HEIGHT * (len(pages) == 1)
    room = sum(block.height for block in last) / count
    while room < most:
        balanced = _packed(last, repeat(room))
        if len(balanced) <= count:
            return [*pages[:-1], balanced]
        room += LIST_STEP
    return pages


def _packed(blocks: Sequence[AnswerBlock], rooms: Iterator[float]) -> list[list[AnswerBlock]]:
    """The blocks in columns, each as long as ``rooms`` say."""
    found: list[list[AnswerBlock]] = [[]]
    used, room = 0.0, next(rooms)
    for block in blocks:
        needed = block.height + block.above * bool(found[-1])
        if found[-1] and used + needed > room:
            found.append([])
            used, room, needed = 0.0, next(rooms), block.height
        found[-1].append(block)
        used += needed
    return found


def _set(elements: list[Element], column: Sequence[AnswerBlock], x: float, y: float) -> float:
    """Add a column of blocks below ``y`` to the elements of a page; the height it reaches."""
    for number, block in enumerate(column):
        y -= block.above * bool(number)
        elements += [element.moved(x, y) for element in block.elements]
        y -= block.height
    return y


def _add_table(
    drawn: list[list[Element]], table: Sequence[AnswerBlock], paper: Paper, y: float
) -> None:
    """Add the table below ``y`` to the last page if it fits there, else to pages of its own."""
    whole = sum(block.height + block.above for block in table)
    if table and whole > y - paper.bottom:
        drawn.append([])
        y = paper.top
    for block in table:
        above = block.above * (y < paper.top)
        if block.height + above > y - paper.bottom:
            drawn.append([])
            y, above = paper.top, 0.0
            if block.repeated:
                y = _set(drawn[-1], [block.repeated], paper.left, y)
        y = _set(drawn[-1], [block], paper.left, y - above)
