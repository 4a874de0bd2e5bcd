"""A section of a workbook: heading, task, and exercises in rows.

In: a planned section and the snippets of its exercises. Out: blocks of elements.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from workbook import design
from workbook.design import HANDS, Hand
from workbook.engraving.snippet import Snippet
from workbook.music.naming import Naming
from workbook.pages.columns import column_counts, grammar, shown, shown_label
from workbook.pages.elements import (
    DOCUMENT,
    Element,
    Entry,
    Group,
    Panel,
    Picture,
    Rule,
    Start,
    Text,
)
from workbook.pages.flow import Block
from workbook.pages.item import Parts, item_block, item_lines, item_parts, score
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, PlannedSection
from workbook.typesetting import text

_DASH = "–"
"""An answer that only the task explains: where it stands, worked or not, the task does, too."""


def section_blocks(
    section: PlannedSection,
    snippets: Mapping[int, Snippet],
    paper: Paper,
    size: str,
    most: int,
    naming: Naming,
    brief: bool,
) -> list[Block]:
    """The heading, the task, and the rows of exercises.

    ``size`` names the hand that writes, ``most`` is the number of columns, ``naming`` how notes
    are named. If ``brief`` and the section has a single exercise, the heading includes its label
    where there is room, and the exercise has neither label nor number.
    """
    group = Group("Sect", DOCUMENT)
    blocks, shared = _head(section, paper, HANDS[size], group, brief)
    counts = column_counts(section, paper, size, most)
    found = [
        block
        for row in rows(section, counts)
        for block in _row_blocks(
            [(item, item_parts(item, group, naming)) for item in row],
            snippets,
            shared,
            paper,
            size,
            counts,
        )
    ]
    shrink = 0.0
    if paper.tight:
        shrink = design.EXAMPLE_SHRINK if section.example else design.FIRST_SHRINK
    found[0] = replace(found[0], shrink=shrink, stretch=0.0)
    return blocks + found


def head_height(section: PlannedSection, paper: Paper, size: str) -> float:
    """How high the heading and the task of a section are."""
    blocks, _ = _head(section, paper, HANDS[size], Group("Sect", DOCUMENT), brief=False)
    return sum(block.height for block in blocks)


def _head(
    section: PlannedSection, paper: Paper, hand: Hand, group: Group, brief: bool
) -> tuple[list[Block], str | None]:
    """The heading and the task, and what task the items need not repeat."""
    task = section.items[0].exercise.task
    shared: str | None = task
    heading, width, lines = _heading(section, paper, hand, group)
    read = grammar(section.items[0].exercise)
    label = shown_label(section.items[0])
    label = "" if label == section.title else label
    width += text.width(label, "regular", hand.text) + 24
    if brief and len(section.items) == 1 and lines == 1 and width <= paper.measure:
        label_text = Text(
            paper.right, -hand.heading, label, "regular", hand.text, "right", grammar=read
        )
        heading = replace(heading, elements=(*heading.elements, Start(group, "P"), label_text))
        shared = None
    blocks = [heading]
    asked = any(item.exercise.asked for item in section.items)
    asked = asked or any(b.answer == _DASH for item in section.items for b in item.exercise.blanks)
    if asked or brief:  # keep the task's space even if empty: a key's study pages look alike
        lead = hand.text * design.LEADING
        start = Start(group, "P")
        lines_of_task = text.even(task, "regular", hand.text, paper.measure, design.CHARACTERS)
        blocks += [
            Block(
                (start, Text(paper.left, -lead, line, "regular", hand.text, grammar=read))
                if asked
                else (),
                lead + design.BELOW_TASK * (number == len(lines_of_task)),
                keep=True,
            )
            for number, line in enumerate(lines_of_task, 1)
        ]
    return blocks, shared


def _heading(
    section: PlannedSection, paper: Paper, hand: Hand, group: Group
) -> tuple[Block, float, int]:
    """The heading, the width of its text, and how many lines it has."""
    size, side = hand.heading, hand.heading + design.BADGE_PAD
    left = paper.left + side + design.BADGE_GAP
    room = paper.right - left - design.SECTION_SCORE
    first, *more = text.even(section.title, "bold", size, room, design.CHARACTERS)
    lines = [first, *([text.shorten(" ".join(more), "bold", size, room)] if more else [])]
    base, lead = -0.5 * (side + 0.72 * size), 1.22 * size
    low = base - lead * (len(lines) - 1) - 0.25 * size
    rule = min(-side, low) - design.BELOW_BADGE
    elements: list[Element] = [
        Entry(f"{section.letter}  {section.title}", 4),
        Start(group, "H2"),
        Panel((paper.left, -side, paper.left + side, 0), 0.0, radius=design.BADGE_CORNER),
        Text(paper.left + side / 2, base, section.letter, "bold", size, "center", white=True),
        *(Text(left, base - lead * index, line, "bold", size) for index, line in enumerate(lines)),
        Rule(paper.left, rule, paper.right, rule, 0.8),
    ]
    if section.points:
        elements.append(Start(group, "P", alt=points(section.points)))
        elements += score(
            paper.right, base, f"{section.points}", hand.text, "bold", design.SECTION_RULE
        )
    width = left - paper.left + text.width(first, "bold", size)
    block = Block(
        tuple(elements),
        -rule,
        above=design.ABOVE_SECTION,
        shrink=design.SECTION_SHRINK,
        stretch=design.SECTION_STRETCH,
        keep=True,
        opens=True,
    )
    return block, width, len(lines)


def points(count: int) -> str:
    """What a score is read as."""
    return f"{count} point{'s' * (count != 1)}"


def _row_blocks(
    row: Sequence[tuple[Item, Parts]],
    snippets: Mapping[int, Snippet],
    shared: str | None,
    paper: Paper,
    size: str,
    counts: Mapping[int, int],
) -> list[Block]:
    """The blocks of one exercise, or one block for short ones side by side."""
    left = paper.left
    item, parts = row[0]
    if len(row) == 1 and len(snippets[item.number].lines) > 1:
        snippet = snippets[item.number]
        return item_lines(item, snippet, shared, left, paper.right, size, parts, paper.closest)
    blocks = []
    for item, parts in row:
        right = left + paper.column_of(counts[item.number])
        blocks.append(item_block(item, snippets[item.number], shared, left, right, size, parts))
        left = right + design.COLUMN_GAP
    return blocks if len(row) == 1 else [_beside(blocks)]


def _beside(blocks: Sequence[Block]) -> Block:
    """Exercises side by side, their staves or figures aligned if a small move is enough."""
    tops = [block.staff for block in blocks]
    if all(tops) and max(tops) - min(tops) <= design.LEVELLED:
        blocks = [_lowered(block, block.staff - min(tops)) for block in blocks]
    height = max(block.height for block in blocks)
    return replace(
        blocks[0],
        elements=tuple(element for block in blocks for element in block.elements),
        height=height,
        below=max(block.height + block.below for block in blocks) - height,
        shrink=min(block.shrink for block in blocks),
    )


def _lowered(block: Block, by: float) -> Block:
    """The block with the music and the notes below it ``by`` points lower; the head stays."""
    if not by:
        return block
    first = next(i for i, element in enumerate(block.elements) if isinstance(element, Picture))
    return replace(
        block,
        height=block.height + by,
        elements=block.elements[:first]
        + tuple(element.moved(0.0, -by) for element in block.elements[first:]),
    )


def rows(section: PlannedSection, counts: Mapping[int, int]) -> list[tuple[Item, ...]]:
    """The items in reading order, short neighbours in one row."""
    found: list[tuple[Item, ...]] = []
    for item in shown(section):
        count = counts[item.number]
        if found and len(found[-1]) < count == counts[found[-1][0].number]:
            found[-1] += (item,)
        else:
            found.append((item,))
    return found
