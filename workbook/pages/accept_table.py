"""The table of what else to accept, at the end of the list of answers.

In: the spellings of a workbook. Out: blocks of elements as wide as the page, one for each line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from workbook import design
from workbook.design import (
    ABOVE_ACCEPT,
    ACCEPT_BASELINE,
    ACCEPT_GAP,
    ACCEPT_HEADING,
    ACCEPT_HEAVY,
    ACCEPT_LEADING,
    ACCEPT_LIGHT,
    ACCEPT_MORE,
    ACCEPT_NAMES,
    ACCEPT_OTHERS,
    ACCEPT_PRINTED,
    ACCEPT_TEXT,
)
from workbook.exercises.families import KINDS
from workbook.marking.spellings import Spelling
from workbook.pages.answer_block import AnswerBlock
from workbook.pages.elements import (
    ARTIFACT,
    DOCUMENT,
    Element,
    Entry,
    Group,
    Rule,
    Start,
    Text,
    table_row,
)
from workbook.typesetting import figured, text
from workbook.typesetting.figured import Grammar

HEADING = "What to accept"
COLUMNS = ("Asked for", "Printed", "Also right")


def accept_table(spellings: Sequence[Spelling], width: float) -> list[AnswerBlock]:
    """The heading with the first line, then each other line; [] for no spellings."""
    if not spellings:
        return []
    x1, x2 = _columns(spellings, width)
    group = Group("Sect", DOCUMENT)
    table = Group("Table", group)
    names = table_row(table)
    columns = list(zip((0.0, x1, x2), COLUMNS))
    lines = [
        replace(
            _line(one, 0 if index else len(some), first and not index, (x1, x2, width), table),
            repeated=_repeated(columns, one.title if index else "", width),
        )
        for first, some in _kinds(spellings)
        for index, one in enumerate(some)
    ]
    head: tuple[Element, ...] = (
        Entry(HEADING, 0.0),
        Start(group, "H2"),
        Text(0.0, 0.7 - ACCEPT_HEADING + 6.0, HEADING, "bold", design.HEADING),
        Rule(0.0, -ACCEPT_HEADING, width, -ACCEPT_HEADING, ACCEPT_HEAVY),
        *(
            one
            for x, name in columns
            for one in (
                Start(names, "TH", "Column"),
                Text(
                    x,
                    -ACCEPT_HEADING - ACCEPT_BASELINE,
                    name,
                    "regular",
                    design.QUIET,
                ),
            )
        ),
        Rule(
            0.0,
            -ACCEPT_HEADING - ACCEPT_NAMES,
            width,
            -ACCEPT_HEADING - ACCEPT_NAMES,
            ACCEPT_LIGHT,
        ),
    )
    high = ACCEPT_HEADING + ACCEPT_NAMES
    first = (*head, *(element.moved(0.0, -high) for element in lines[0].elements))
    blocks = [AnswerBlock(first, high + lines[0].height, ABOVE_ACCEPT), *lines[1:]]
    last = blocks[-1]
    end = Rule(0.0, -last.height, width, -last.height, ACCEPT_HEAVY)
    return [*blocks[:-1], replace(last, elements=(*last.elements, end))]


def _repeated(columns: Sequence[tuple[float, str]], kind: str, width: float) -> AnswerBlock:
    """The names of the columns once more, for a page on which the table goes on, and of the kind
    that does.
    """
    elements: list[Element] = [Start(ARTIFACT), Rule(0.0, 0.0, width, 0.0, ACCEPT_HEAVY)]
    for x, name in columns:
        elements.append(Text(x, -ACCEPT_BASELINE, name, "regular", design.QUIET))
    elements.append(Rule(0.0, -ACCEPT_NAMES, width, -ACCEPT_NAMES, ACCEPT_LIGHT))
    if kind:
        low = ACCEPT_NAMES + ACCEPT_BASELINE
        elements.append(Text(0.0, -low, kind, "regular", ACCEPT_TEXT))
    return AnswerBlock(tuple(elements), ACCEPT_NAMES)


def _kinds(spellings: Sequence[Spelling]) -> Iterator[tuple[bool, list[Spelling]]]:
    """The spellings of each kind in turn, and whether it is the first."""
    for index, (_, some) in enumerate(groupby(spellings, lambda one: one.asks)):
        yield not index, list(some)


def _columns(spellings: Sequence[Spelling], width: float) -> tuple[float, float]:
    """Where the second and the third column begin."""
    titles = max(text.width(one.title, "regular", ACCEPT_TEXT) for one in spellings)
    printed = max(
        figured.width(one.printed, _grammar(one), "bold", ACCEPT_TEXT) for one in spellings
    )
    x1, x2 = (min(share * width, most) for share, most in (ACCEPT_PRINTED, ACCEPT_OTHERS))
    x1 = max(x1, titles + ACCEPT_GAP)
    return x1, max(x2, x1 + printed + ACCEPT_GAP)


def _grammar(one: Spelling) -> Grammar:
    return KINDS[one.asks].figured if one.asks else ""


def _line(
    one: Spelling, kind: int, first: bool, xs: tuple[float, float, float], table: Group
) -> AnswerBlock:
    """A line of the table, with a rule above it: a whole one if it begins a kind.

    ``kind`` is the number of lines of the kind that begins here, 0 if none does.
    """
    x1, x2, width = xs
    others = text.wrap(one.others, "regular", ACCEPT_TEXT, width - x2)
    row = table_row(table)
    elements: list[Element] = []
    if not first:
        elements.append(Rule(0.0 if kind else x1, 0.0, width, 0.0, ACCEPT_LIGHT))
    if kind:
        elements.append(Start(row, "TH", "Row", rows=kind))
        elements.append(Text(0.0, -ACCEPT_BASELINE, one.title, "regular", ACCEPT_TEXT))
    elements.append(Start(row, "TD"))
    elements.append(
        Text(
            x1,
            -ACCEPT_BASELINE,
            one.printed,
            "bold",
            ACCEPT_TEXT,
            grammar=_grammar(one),
        )
    )
    elements.append(Start(row, "TD"))
    elements += [
        Text(
            x2,
            -ACCEPT_BASELINE - number * ACCEPT_MORE,
            line,
            "regular",
            ACCEPT_TEXT,
            grammar="words",
        )
        for number, line in enumerate(others)
    ]
    return AnswerBlock(tuple(elements), ACCEPT_LEADING + (len(others) - 1) * ACCEPT_MORE)
