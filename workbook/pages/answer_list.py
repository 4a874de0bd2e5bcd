"""The list of answers: what stands in every box of a workbook, in the order of its pages.

In: a plan and its pages. Out: pages. Each row of boxes is one line for each system of music. The
lines of a section stand in two columns, or over the whole measure if one of them is wider than a
column. Answers too wide for the measure are smaller, and a row that is too wide even so is broken.
A table of what else to accept ends the list.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from math import inf

from workbook import design
from workbook.design import (
    LIST_ABOVE_SECTION,
    LIST_ANSWERS,
    LIST_LETTER,
    LIST_SECTION_BASELINE,
    LIST_SECTION_HEIGHT,
    LIST_SECTION_RULE,
    LIST_SUBTITLE,
    LIST_TITLE_BASELINE,
    LIST_TITLE_HEIGHT,
    LIST_TORN,
)
from workbook.exercises.model import Blank
from workbook.marking.answer_rows import Placed
from workbook.pages.accept_table import accept_table
from workbook.pages.answer_block import (
    ANSWER,
    WORDS,
    AnswerBlock,
    Needs,
    item_block,
    needs,
    shape_of,
)
from workbook.pages.elements import DOCUMENT, Element, Entry, Group, Page, Rule, Start, Text
from workbook.pages.footer import footer
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan, PlannedSection
from workbook.typesetting import text

_new = tuple.__new__  # what a named tuple does, without its function
_COLUMNS = 2
_HAIR = 0.01
"""Points by which columns of the same blocks may differ as they are summed."""
_RULE = 0.8
"""Points: the thickness of a rule below a heading."""
_HELP = "In parentheses: printed as help, not counted"

_Placed = dict[int, list[Placed[Blank]]]
"""The blanks of each item with their places."""


def listed_on(paper: Paper) -> Paper:
    """The paper of the list: in normal size, for the marker needs no large print, and that of the
    teacher's tables where workbooks are on small paper.
    """
    return replace(paper, name=design.TABLES_ON.get(paper.name, paper.name), size="normal")


def column_places(paper: Paper) -> tuple[float, list[float]]:
    """The width of a column, and how far each is from the left margin, in points."""
    width = paper.column_of(_COLUMNS)
    return width, [number * (width + design.COLUMN_GAP) for number in range(_COLUMNS)]


def lay_out_answers(plan: Plan, pages: Sequence[Page], paper: Paper) -> list[Page]:
    """The list of answers of a workbook that has these ``pages``."""
    paper = listed_on(paper)
    placed = _placed(pages)
    sections = [_Section(section, placed, paper) for section in plan.sections]
    drawn = [_title(plan, paper)]
    y = paper.top - LIST_TITLE_HEIGHT
    for wide, band in groupby(sections, key=lambda section: section.wide):
        y = _add_band(drawn, list(band), wide, paper, y)
    _add_table(drawn, accept_table(plan.spellings, paper.measure), paper, y)
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
            found.setdefault(box.number, []).append(_new(Placed, (box.blank, number, box.rect)))
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


class _Section:
    """A section in the list. It is ``wide`` if a row is too wide for a column.

    Its answers begin at one place, further left than usual where that keeps a row on one line.
    """

    def __init__(self, section: PlannedSection, placed: _Placed, paper: Paper):
        self._section = section
        self._shapes = [shape_of(item.exercise, placed[item.number]) for item in section.items]
        column, self._size = paper.column_of(_COLUMNS), ANSWER
        least, answers = self._needs(ANSWER, paper.measure)
        if least + answers > paper.measure:
            smaller = self._needs(WORDS, paper.measure)
            if sum(smaller) <= paper.measure:
                self._size, (least, answers) = WORDS, smaller
        self.wide = least + answers > column
        usual = max(least, LIST_ANSWERS)
        fits = usual + answers <= (paper.measure if self.wide else column)
        self._before = usual if fits else least

    def _needs(self, size: float, measure: float) -> Needs:
        items = zip(self._section.items, self._shapes)
        needed = [needs(item, shape, size, measure) for item, shape in items]
        return Needs(max(one.before for one in needed), max(one.answers for one in needed))

    def blocks(self, width: float) -> Iterator[AnswerBlock]:
        """The items, ``width`` points wide; the heading stays with the first."""
        answers, head = _head(self._section, width)
        first, *others = (
            item_block(item, shape, width, self._before, self._size, answers)
            for item, shape in zip(self._section.items, self._shapes)
        )
        below = (element.moved(0.0, -LIST_SECTION_HEIGHT) for element in first.elements)
        yield AnswerBlock((*head, *below), LIST_SECTION_HEIGHT + first.height, LIST_ABOVE_SECTION)
        yield from others


def _head(section: PlannedSection, width: float) -> tuple[Group, list[Element]]:
    """The group of a section's answers, and its heading."""
    points = f"{section.points} point{'s' * (section.points != 1)}"
    room = width - LIST_LETTER - text.width(points, "regular", design.QUIET) - 8
    title = text.shorten(section.title, "bold", design.TEXT, room)
    group = Group("Sect", DOCUMENT)
    return Group("L", group), [
        Start(group, "H2"),
        Text(0.0, -LIST_SECTION_BASELINE, section.letter, "bold", design.TEXT),
        Text(LIST_LETTER, -LIST_SECTION_BASELINE, title, "bold", design.TEXT),
        Start(group, "P"),
        Text(width, -LIST_SECTION_BASELINE, points, "regular", design.QUIET, "right"),
        Rule(0.0, -LIST_SECTION_RULE, width, -LIST_SECTION_RULE, _RULE),
    ]


def _add_band(
    drawn: list[list[Element]], sections: Sequence[_Section], wide: bool, paper: Paper, y: float
) -> float:
    """Add sections below ``y``, in columns or over the measure; the height they reach."""
    width, lefts = (paper.measure, [0.0]) if wide else column_places(paper)
    blocks = [block for section in sections for block in section.blocks(width)]
    while blocks:
        if not wide and _even(blocks, inf) == len(blocks):
            over: list[AnswerBlock] = []
            for section in reversed(sections):
                if len(over) < len(blocks):
                    over = [*section.blocks(paper.measure), *over]
            blocks, lefts, wide = over[-len(blocks) :], lefts[:1], True
        top = y - blocks[0].above * (y < paper.top)
        # no block is higher than a page; if one was, it would stand alone
        room = max(top - paper.bottom, blocks[0].height * (y == paper.top))
        columns = _packed(blocks, room, len(lefts))
        count = sum(map(len, columns))
        if count == len(blocks) and not wide:
            end = _even(blocks, room)
            columns = [blocks[:end], blocks[end:]]
        for left, column in zip(lefts, columns):
            lower, x = _lower(columns[0], column), paper.left + left
            if lower:
                rule = top - LIST_SECTION_RULE
                drawn[-1].append(Rule(x, rule, x + width, rule, _RULE))
            y = min(y, _set(drawn[-1], column, x, top - lower))
        blocks = blocks[count:]
        if blocks:
            drawn.append([])
            y = paper.top
    return y


def _lower(first: Sequence[AnswerBlock], column: Sequence[AnswerBlock]) -> float:
    """By how much a column is lowered that goes on with a section beside a heading."""
    return LIST_SECTION_HEIGHT if column and first[0].above and not column[0].above else 0.0


def _even(blocks: Sequence[AnswerBlock], room: float) -> int:
    """How many blocks stand in the first of two columns, so that these are about equally long, at
    most ``room``, and divide no section where that does not make them much longer.
    """
    first = blocks[0].above
    whole = sum(block.above + block.height for block in blocks)
    best, least, left = len(blocks), inf, -first
    for end, (block, after) in enumerate(zip(blocks, [*blocks[1:], None]), 1):
        left += block.above + block.height
        right = whole - first - left
        torn = after is not None and not after.above
        if after:
            right += LIST_SECTION_HEIGHT * (torn and first > 0) - after.above
        longest = max(left, right)
        # of splits that are as good, the last: the left column is the longer one
        if longest <= room and longest + LIST_TORN * torn <= least + _HAIR:
            best, least = end, longest + LIST_TORN * torn
    return best


def _packed(blocks: Sequence[AnswerBlock], room: float, count: int) -> list[list[AnswerBlock]]:
    """As many blocks as stand in ``count`` columns as high as ``room``, in their order."""
    found: list[list[AnswerBlock]] = []
    start = 0
    for _ in range(count):
        column: list[AnswerBlock] = []
        high = _lower(found[0], blocks[start : start + 1]) if found and found[0] else 0.0
        for block in blocks[start:]:
            high += block.height + block.above * bool(column)
            if high > room:
                break
            column.append(block)
        found.append(column)
        start += len(column)
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
