"""A section of a workbook: heading, task, and its exercises in rows.

In: a planned section and the snippets of its exercises. Out: blocks of elements.
"""

from __future__ import annotations

from dataclasses import replace

from workbook.engraving.snippet import Snippet
from workbook.pages.elements import Box, Entry, Picture, Rule, Text
from workbook.pages.flow import Block
from workbook.pages.item import item_block, item_lines, may_share_a_row, score
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, PlannedSection
from workbook.typesetting import text

SPELLINGS = "Other spellings:"
"""Begins the line that tells a marker what other spellings of the answers to accept."""
_BETWEEN, _LEVEL = 18.0, 12.0
"""Points between two exercises side by side; by how much one of the two is lowered so that
their rows of boxes stand level."""
_NOTE, _TAIL, _AIR = 10.0, 2.5, 8.0
"""Points from line to line of a note to the marker, the first one in the white above the
exercises; how far the letters of the task reach down; how much white comes back where the
page has room."""


def section_blocks(
    section: PlannedSection, also: str, snippets: dict[int, Snippet], paper: Paper, brief: bool
) -> list[Block]:
    """The heading, the task, ``also`` for a marker, and the rows of exercises. If ``brief``, the
    heading has the label of the only exercise, which then needs neither that nor a number.
    """
    shared: str | None = section.items[0].exercise.task
    letter = f"{section.letter}   "
    name, inset = letter + section.title, text.width(letter, "bold", 14)
    wide = paper.right - paper.left - 110
    lines = [name]
    if text.width(name, "bold", 14) > wide:
        first, *more = text.wrap(section.title, "bold", 14, wide - inset)
        lines = [
            letter + first,
            *[text.shorten(" ".join(more), "bold", 14, wide - inset)][: len(more)],
        ]
    low = -14 - 17 * (len(lines) - 1)
    worth = score(paper.right, low, str(section.points), before="Score  ") if section.points else []
    blocks = [
        Block(
            (
                Entry(f"{section.letter}  {section.title}", 4),
                *(
                    Text(paper.left + inset * bool(index), -14 - 17 * index, line, "bold", 14)
                    for index, line in enumerate(lines)
                ),
                *worth,
                Rule(paper.left, low - 5, paper.right, low - 5, 0.9),
            ),
            8 - low,
            above=18,
            gives=14,
            takes=72,
            keep=True,
            opens=True,
        )
    ]
    asked = any(item.exercise.asked for item in section.items)
    if asked or brief:  # the room of a task is kept, so that all study pages of a key are alike
        blocks += [
            Block((Text(paper.left, -15, line, "italic", 11),) if asked else (), 15, keep=True)
            for line in text.wrap(shared, "italic", 11, paper.right - paper.left)
        ]
    note = _NOTE / paper.scale  # for the marker, who needs no larger print
    if also:
        size = 0.85 * note
        blocks += [
            Block(
                (Text(paper.left, -0.95 * note, line, "italic", size, only="answer key"),),
                note,
                0.0 if index else _TAIL,
                keep=True,
            )
            for index, line in enumerate(
                text.wrap(f"{SPELLINGS} {also}", "italic", size, paper.right - paper.left)
            )
        ]
    label = section.items[0].exercise.label
    label = "" if label == section.title else label
    if (
        brief
        and len(section.items) == len(lines) == 1
        and (
            text.width(name, "bold", 14) + text.width(label, "regular", 11) + 24
            <= paper.right - paper.left
        )
    ):
        blocks[0] = replace(
            blocks[0],
            elements=(*blocks[0].elements, Text(paper.right, low, label, "regular", 11, "right")),
        )
        shared = None
    head = len(blocks)
    for row in _rows(section, snippets, shared, paper):
        width, left, some = _column(paper, len(row)), paper.left, []
        for item in row:
            make = item_lines if len(row) == 1 and len(snippets[item.number].lines) > 1 else _whole
            some += make(item, snippets[item.number], shared, left, left + width)
            left += width + _BETWEEN
        blocks += some if len(row) == 1 else [_beside(*some)]
    first = blocks[head]
    blocks[head] = replace(
        first,
        gives=0.0,
        takes=_AIR * bool(also),
        above=max(first.above - (note + _TAIL) * bool(also), 1.0),
    )
    return blocks


def _whole(*args) -> list[Block]:
    return [item_block(*args)]


def _beside(one: Block, other: Block) -> Block:
    """Two exercises in one row, their first rows of boxes at one height if that takes little."""
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
        gives=min(one.gives, other.gives),
    )


def _first_row(block: Block) -> float:
    return max(
        (element.rect[3] for element in block.elements if isinstance(element, Box)), default=0.0
    )


def _lowered(block: Block, by: float) -> Block:
    """With the music ``by`` points lower, and what is note under it; the head stays."""
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
    section: PlannedSection, snippets: dict[int, Snippet], shared: str | None, paper: Paper
) -> list[tuple[Item, ...]]:
    """The items in reading order, two short ones side by side."""
    rows, waiting = [], None
    for item in section.items:
        short = may_share_a_row(item, snippets[item.number], shared, _column(paper, 2))
        if waiting and short:
            rows[-1] += (item,)
            waiting = None
        else:
            rows.append((item,))
            waiting = item if short else None
    return rows
