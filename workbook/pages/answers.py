"""The answers of a workbook by number, on one page where they fit: for fast marking.

In: a plan. Out: sheets. The type is as large as lets all stand on one page, from
9.5 points down to 6; only beyond that a second page begins.
"""

from __future__ import annotations

from math import sqrt

from workbook.exercises.model import Exercise
from workbook.pages import text
from workbook.pages.flow import Page
from workbook.pages.layout import foot
from workbook.pages.marks import Entry, Mark, Rule, Sheet, Text
from workbook.studio.plan import Plan

_LARGEST, _SMALLEST, _STEP = 11.0, 6.0, 0.25
_COLUMNS, _GAP = 2, 16.0
_INSET = 2.2
"""Font sizes from an item's number to its answers."""
_HEAD = 56.0
"""Points that the title takes."""

Line = tuple[str, str]
"""A number in bold (or "" on a line that goes on) and what stands right of it; a heading
has its words in the number's place."""


def lay_out_answers(plan: Plan, page: Page) -> list[Sheet]:
    """The sheets of the list of answers of a workbook."""
    width = (page.right - page.left - _GAP * (_COLUMNS - 1)) / _COLUMNS
    room = page.top - _HEAD - page.bottom
    size, lines = _fitted(_entries(plan), width, room)
    lead = 1.32 * size
    each = max(1, int(room / lead))
    columns = [lines[start:start + each] for start in range(0, len(lines), each)]
    sheets = []
    count = -(-len(columns) // _COLUMNS)
    for index in range(count):
        sheet = Sheet(_title(plan, page))
        for place, column in enumerate(columns[index * _COLUMNS:(index + 1) * _COLUMNS]):
            x, y = page.left + place * (width + _GAP), page.top - _HEAD
            for number, words in column:
                y -= lead
                if number:
                    sheet.marks.append(Text(x, y, number, "bold", size))
                if words:
                    sheet.marks.append(Text(x + _INSET * size, y, words, "regular", size))
        sheet.marks += foot(page, plan, f"page {index + 1} of {count}", "Answers")
        sheets.append(page.finished(sheet, index))
    return sheets


def _title(plan: Plan, page: Page) -> list[Mark]:
    name = text.shorten(f"Answers: {plan.title}", "bold", 16, page.right - page.left)
    return [Entry(name, page.top), Text(page.left, page.top - 16, name, "bold", 16),
            Text(page.left, page.top - 34, text.shorten(
                plan.row.student, "regular", 12, page.right - page.left), "regular", 12),
            Rule(page.left, page.top - 42, page.right, page.top - 42, 0.6)]


def _entries(plan: Plan) -> list[tuple[str, str, str]]:
    """A section's heading or an item: its number, the answers, the points."""
    entries = []
    for section in plan.sections:
        each = section.items[0].points
        worth = f"{section.points}, {each} each" if len(section.items) > 1 else f"{each}"
        entries.append((section.letter, section.title, worth))
        entries += [(f"{item.number}", answers(item.exercise), "") for item in section.items]
    return entries


def answers(exercise: Exercise) -> str:
    """The answers of an exercise on one line, row by row, chords' stacks low to high.

    ``"chord F♯m B C♯; numeral i iv V"``; ``"right 1 2 3 1 2; left 5 4 3 2 1"``.
    """
    rows: dict[tuple[str, str], dict[int, list[str]]] = {}
    for blank in exercise.blanks:
        if not blank.given:
            row = rows.setdefault((blank.asks, blank.hand), {})
            row.setdefault(blank.column, []).append(blank.answer)
    kinds, hands = ({key[place] for key in rows} for place in (0, 1))
    said = []
    for (asks, hand), columns in rows.items():
        spaced = any(" " in answer for stack in columns.values() for answer in stack)
        joined = (", " if spaced else " ").join(
            "-".join(stack) for _, stack in sorted(columns.items()))
        words = [asks] * (len(kinds) > 1) + [hand] * (len(hands) > 1) + [joined]
        said.append(" ".join(words))
    return "; ".join(said)


def _fitted(entries: list[tuple[str, str, str]], width: float, room: float
            ) -> tuple[float, list[Line]]:
    """The largest size at which all lines stand in the columns of one page, and the lines."""
    lines = _lines(entries, _LARGEST, width)
    holds = _COLUMNS * int(room / (1.32 * _LARGEST))
    if len(lines) <= holds:
        return _LARGEST, lines
    # lines grow shorter and fewer together, so a page holds about 1 / size² of them
    size = max(_SMALLEST, _STEP * int(_LARGEST * sqrt(holds / len(lines)) / _STEP + 1))
    while True:
        lines = _lines(entries, size, width)
        if size <= _SMALLEST or len(lines) <= _COLUMNS * int(room / (1.32 * size)):
            return size, lines
        size = max(_SMALLEST, size - _STEP)


def _lines(entries: list[tuple[str, str, str]], size: float, width: float) -> list[Line]:
    lines: list[Line] = []
    for number, words, worth in entries:
        if worth:
            ending = f"  ({worth})"
            room = width - text.width(ending, "bold", size)
            heading = text.shorten(f"{number}  {words}", "bold", size, room)
            lines.append((heading + ending, ""))
            continue
        for index, line in enumerate(text.wrap(words, "regular", size, width - _INSET * size)):
            lines.append(("" if index else number, line))
    return lines
