"""A section of a workbook: heading, task, and exercises in rows.

In: a planned section and the snippets of its exercises. Out: blocks of elements.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from workbook.engraving.snippet import Snippet
from workbook.pages.elements import Box, Element, Entry, Picture, Rule, Text
from workbook.pages.flow import Block
from workbook.pages.item import item_block, item_lines, may_share_a_row, score
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, PlannedSection
from workbook.typesetting import text

_BETWEEN, _LEVEL = 18.0, 12.0
"""Points between two exercises side by side, and the most by which one of them is lowered to
align their rows of boxes."""


def section_blocks(
    section: PlannedSection,
    snippets: Mapping[int, Snippet],
    paper: Paper,
    brief: bool,
) -> list[Block]:
    """The heading, the task, and the rows of exercises.

    If ``brief`` and the section has a single exercise, the heading includes its label where
    there is room, and the exercise has neither label nor number.
    """
    task = section.items[0].exercise.task
    shared: str | None = task
    heading, name, low = _heading(section, paper)
    label = section.items[0].exercise.label
    label = "" if label == section.title else label
    width = text.width(name, "bold", 14) + text.width(label, "regular", 11) + 24
    if brief and len(section.items) == 1 and low == -14 and width <= paper.right - paper.left:
        label_text = Text(paper.right, low, label, "regular", 11, "right", grammar="words")
        heading = replace(heading, elements=(*heading.elements, label_text))
        shared = None
    blocks = [heading]
    asked = any(item.exercise.asked for item in section.items)
    if asked or brief:  # keep the task's space even if empty: a key's study pages look alike
        blocks += [
            Block(
                (Text(paper.left, -15, line, "italic", 11, grammar="words"),) if asked else (),
                15,
                keep=True,
            )
            for line in text.wrap(task, "italic", 11, paper.right - paper.left)
        ]
    rows = [
        block
        for row in _rows(section, snippets, shared, paper)
        for block in _row_blocks(row, snippets, shared, paper)
    ]
    rows[0] = replace(rows[0], shrink=0.0, stretch=0.0)
    return blocks + rows


def _heading(section: PlannedSection, paper: Paper) -> tuple[Block, str, float]:
    """The heading, its text, and the height of its last baseline."""
    letter = f"{section.letter}   "
    name, inset = letter + section.title, text.width(letter, "bold", 14)
    room = paper.right - paper.left - 110
    lines = [name]
    if text.width(name, "bold", 14) > room:
        first, *more = text.wrap(section.title, "bold", 14, room - inset)
        lines = [letter + first]
        if more:
            lines.append(text.shorten(" ".join(more), "bold", 14, room - inset))
    low = -14.0 - 17 * (len(lines) - 1)
    worth = score(paper.right, low, str(section.points), before="Score  ") if section.points else []
    elements: tuple[Element, ...] = (
        Entry(f"{section.letter}  {section.title}", 4),
        *(
            Text(paper.left + inset * bool(index), -14 - 17 * index, line, "bold", 14)
            for index, line in enumerate(lines)
        ),
        *worth,
        Rule(paper.left, low - 5, paper.right, low - 5, 0.9),
    )
    block = Block(elements, 8 - low, above=18, shrink=14, stretch=72, keep=True, opens=True)
    return block, name, low


def _row_blocks(
    row: Sequence[Item], snippets: Mapping[int, Snippet], shared: str | None, paper: Paper
) -> list[Block]:
    """The blocks of one exercise, or one block for two exercises side by side."""
    width, left = _column(paper, len(row)), paper.left
    if len(row) == 1 and len(snippets[row[0].number].lines) > 1:
        return item_lines(row[0], snippets[row[0].number], shared, left, left + width)
    blocks = []
    for item in row:
        blocks.append(item_block(item, snippets[item.number], shared, left, left + width))
        left += width + _BETWEEN
    return blocks if len(row) == 1 else [_beside(*blocks)]


def _beside(one: Block, other: Block) -> Block:
    """Two exercises side by side, their first rows of boxes aligned if a small move does it."""
    lower = _first_row(other) - _first_row(one)
    if 0 < abs(lower) <= _LEVEL:
        one, other = _lowered(one, -min(lower, 0.0)), _lowered(other, max(lower, 0.0))
    height = max(one.height, other.height)
    below = max(one.height + one.below, other.height + other.below) - height
    return replace(
        one,
        elements=one.elements + other.elements,
        height=height,
        below=below,
        shrink=min(one.shrink, other.shrink),
    )


def _first_row(block: Block) -> float:
    return max(
        (element.rect[3] for element in block.elements if isinstance(element, Box)), default=0.0
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


def _column(paper: Paper, columns: int) -> float:
    return (paper.right - paper.left - _BETWEEN * (columns - 1)) / columns


def _rows(
    section: PlannedSection, snippets: Mapping[int, Snippet], shared: str | None, paper: Paper
) -> list[tuple[Item, ...]]:
    """The items in reading order, two short neighbours in one row."""
    rows: list[tuple[Item, ...]] = []
    waiting = None
    for item in section.items:
        short = may_share_a_row(item, snippets[item.number], shared, _column(paper, 2))
        if waiting and short:
            rows[-1] += (item,)
            waiting = None
        else:
            rows.append((item,))
            waiting = item if short else None
    return rows
