"""The table of what else to accept, at the end of the list of answers.

In: the spellings of a workbook. Out: blocks of elements as wide as the page, one for each line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from workbook import design
from workbook.exercises.families import KINDS
from workbook.marking.spellings import Spelling
from workbook.pages.answer_block import AnswerBlock
from workbook.pages.elements import DOCUMENT, Element, Entry, Group, Rule, Start, Text, table_row
from workbook.typesetting import figured, text
from workbook.typesetting.figured import Grammar

HEADING = "What to accept"
COLUMNS = ("Asked for", "Printed", "Right, too")
_HEADING, _SIZE, _QUIET = design.HEADING, 10.5, design.QUIET
"""Font sizes: of the heading, of the lines, of the names of the columns."""
_PRINTED, _OTHERS = (0.23, 118.0), (0.37, 190.0)
"""Where the second and the third column begin: a share of the width, at most so many points.
What stands in the one before may move them."""
_APART = 10.0
"""Points: the least space between two columns."""
_ABOVE, _HEAD, _NAMES = 30.0, 16.5, 18.5
"""Points: the space above the table, the height of its heading and of its columns' names."""
_LEAD, _MORE, _BASELINE = 18.0, 13.0, 12.2
"""Points: the height of a line, that of each further line of the same one, and the baseline
below its top."""
_HEAVY, _LIGHT = 0.8, 0.4
"""Widths of rules."""


def accept_table(spellings: Sequence[Spelling], width: float) -> list[AnswerBlock]:
    """The heading with the first line, then each other line; [] for no spellings."""
    if not spellings:
        return []
    x1, x2 = _columns(spellings, width)
    group = Group("Sect", DOCUMENT)
    table = Group("Table", group)
    names = table_row(table)
    lines = [
        _line(one, 0 if index else len(some), first and not index, (x1, x2, width), table)
        for first, some in _kinds(spellings)
        for index, one in enumerate(some)
    ]
    head: tuple[Element, ...] = (
        Entry(HEADING, 0.0),
        Start(group, "H2"),
        Text(0.0, 0.7 - _HEAD + 6.0, HEADING, "bold", _HEADING),
        Rule(0.0, -_HEAD, width, -_HEAD, _HEAVY),
        *(
            one
            for x, name in zip((0.0, x1, x2), COLUMNS)
            for one in (
                Start(names, "TH", "Column"),
                Text(x, -_HEAD - _BASELINE, name, "regular", _QUIET),
            )
        ),
        Rule(0.0, -_HEAD - _NAMES, width, -_HEAD - _NAMES, _LIGHT),
    )
    high = _HEAD + _NAMES
    first = (*head, *(element.moved(0.0, -high) for element in lines[0].elements))
    blocks = [AnswerBlock(first, high + lines[0].height, _ABOVE), *lines[1:]]
    last = blocks[-1]
    end = Rule(0.0, -last.height, width, -last.height, _HEAVY)
    return [*blocks[:-1], replace(last, elements=(*last.elements, end))]


def _kinds(spellings: Sequence[Spelling]) -> Iterator[tuple[bool, list[Spelling]]]:
    """The spellings of each kind in turn, and whether it is the first."""
    for index, (_, some) in enumerate(groupby(spellings, lambda one: one.asks)):
        yield not index, list(some)


def _columns(spellings: Sequence[Spelling], width: float) -> tuple[float, float]:
    """Where the second and the third column begin."""
    titles = max(text.width(one.title, "regular", _SIZE) for one in spellings)
    printed = max(figured.width(one.printed, _grammar(one), "bold", _SIZE) for one in spellings)
    x1, x2 = (min(share * width, most) for share, most in (_PRINTED, _OTHERS))
    x1 = max(x1, titles + _APART)
    return x1, max(x2, x1 + printed + _APART)


def _grammar(one: Spelling) -> Grammar:
    return KINDS[one.asks].figured if one.asks else ""


def _line(
    one: Spelling, kind: int, first: bool, xs: tuple[float, float, float], table: Group
) -> AnswerBlock:
    """A line of the table, with a rule above it: a whole one if it begins a kind.

    ``kind`` is the number of lines of the kind that begins here, 0 if none does.
    """
    x1, x2, width = xs
    others = text.wrap(one.others, "regular", _SIZE, width - x2)
    row = table_row(table)
    elements: list[Element] = []
    if not first:
        elements.append(Rule(0.0 if kind else x1, 0.0, width, 0.0, _LIGHT))
    if kind:
        elements.append(Start(row, "TH", "Row", rows=kind))
        elements.append(Text(0.0, -_BASELINE, one.title, "regular", _SIZE))
    elements.append(Start(row, "TD"))
    elements.append(Text(x1, -_BASELINE, one.printed, "bold", _SIZE, grammar=_grammar(one)))
    elements.append(Start(row, "TD"))
    elements += [
        Text(x2, -_BASELINE - number * _MORE, line, "regular", _SIZE, grammar="words")
        for number, line in enumerate(others)
    ]
    return AnswerBlock(tuple(elements), _LEAD + (len(others) - 1) * _MORE)
