"""The answers of a workbook by number, on one page where they fit: for fast marking.

In: a plan. Out: sheets. The type is as large as lets all stand on one page, from
11 points down to 6; only beyond that a second page begins.
"""

from __future__ import annotations

from math import sqrt

from workbook.exercises.model import Exercise
from workbook.marking import accepted
from workbook.pages.elements import Element, Entry, Page, Rule, Text
from workbook.pages.footer import footer
from workbook.pages.paper import Paper
from workbook.pages.section import SPELLINGS
from workbook.planning.plan import Plan
from workbook.typesetting import text

_LARGEST, _SMALLEST, _STEP = 11.0, 6.0, 0.25
_LEAD, _WIDEST = 1.32, 2.0
"""Font sizes from line to line: at least, and at most where there is room."""
_COLUMNS, _GAP = 2, 16.0
_INSET = 2.2
"""Font sizes from an item's number to its answers."""
_HEAD = 56.0
"""Points that the title takes."""

Line = tuple[str, str]
"""A number in bold (or "" on a line that goes on) and what stands right of it; a heading
has its words in the number's place."""


def lay_out_answers(plan: Plan, paper: Paper) -> list[Page]:
    """The sheets of the list of answers of a workbook."""
    width = (paper.right - paper.left - _GAP * (_COLUMNS - 1)) / _COLUMNS
    room = paper.top - _HEAD - paper.bottom
    size, lines = _fitted(_entries(plan), width, room)
    columns = _columns(lines, max(1, int(room / (_LEAD * size))))
    lead = max(min(room / max(map(len, columns), default=1), _WIDEST * size), _LEAD * size)
    pages = []
    count = -(-len(columns) // _COLUMNS)
    for index in range(count):
        page = Page(_title(plan, paper))
        for place, column in enumerate(columns[index * _COLUMNS : (index + 1) * _COLUMNS]):
            x, y = paper.left + place * (width + _GAP), paper.top - _HEAD
            for number, words in column:
                y -= lead
                if number:
                    page.elements.append(Text(x, y, number, "bold", size))
                if words:
                    page.elements.append(Text(x + _INSET * size, y, words, "regular", size))
        page.elements += footer(paper, plan, f"page {index + 1} of {count}", "Answers")
        pages.append(paper.finished(page, index))
    return pages


def _title(plan: Plan, paper: Paper) -> list[Element]:
    name = text.shorten(f"Answers: {plan.title}", "bold", 16, paper.right - paper.left)
    return [
        Entry(name, paper.top),
        Text(paper.left, paper.top - 16, name, "bold", 16),
        Text(
            paper.left,
            paper.top - 34,
            text.shorten(plan.row.student, "regular", 12, paper.right - paper.left),
            "regular",
            12,
        ),
        Rule(paper.left, paper.top - 42, paper.right, paper.top - 42, 0.6),
    ]


def _entries(plan: Plan) -> list[tuple[str, str, str]]:
    """A section's heading, its other spellings, an item: number, answers, points."""
    entries = []
    for section, also in zip(plan.sections, plan.spellings):
        each = section.items[0].points
        worth = f"{section.points}, {each} each" if len(section.items) > 1 else f"{each}"
        entries.append((section.letter, section.title, worth))
        if also:
            entries.append(("", f"{SPELLINGS} {also}", ""))
        entries += [(f"{item.number}", item.exercise.once(answers), "") for item in section.items]
    return entries


def answers(exercise: Exercise) -> str:
    """The answers of an exercise on one line, row by row, chords' stacks low to high, what
    else is accepted behind them.

    ``"chord F♯m B C♯; numeral i iv V (also 2: iv6/4)"``; ``"right 1 2 3; left 5 4 3"``.
    """
    rows = accepted.rows(exercise.asked)
    told = exercise.once(accepted.alternatives)
    kinds, hands = ({key[place] for key in rows} for place in (0, 1))
    said = []
    for (asks, hand), row in rows.items():
        columns: dict[int, list[str]] = {}
        for blank in row:
            columns.setdefault(blank.column, []).append(blank.answer)
        also = told[asks, hand].replace("\u00a0", " ")
        spaced = any(" " in answer for stack in columns.values() for answer in stack)
        joined = (", " if spaced else " ").join(
            "-".join(stack) for _, stack in sorted(columns.items())
        )
        words = [asks] * (len(kinds) > 1) + [hand] * (len(hands) > 1) + [joined]
        words += [f"({also})"] * bool(also)
        said.append(" ".join(words))
    return "; ".join(said)


def _fitted(
    entries: list[tuple[str, str, str]], width: float, room: float
) -> tuple[float, list[Line]]:
    """The largest size at which all lines stand in the columns of one page, and the lines."""
    lines = _lines(entries, _LARGEST, width)
    holds = _COLUMNS * int(room / (_LEAD * _LARGEST))
    if len(lines) <= holds:
        return _LARGEST, lines
    # lines grow shorter and fewer together, so a page holds about 1 / size² of them
    size = max(_SMALLEST, _STEP * int(_LARGEST * sqrt(holds / len(lines)) / _STEP + 1))
    while True:
        lines = _lines(entries, size, width)
        if size <= _SMALLEST or len(lines) <= _COLUMNS * int(room / (_LEAD * size)):
            return size, lines
        size = max(_SMALLEST, size - _STEP)


def _columns(lines: list[Line], each: int) -> list[list[Line]]:
    """At most ``each`` lines a column; on a single page two of about one length, the second
    beginning with an item, or with a section where one begins near the middle.
    """

    def worth(start: int) -> float:
        return abs(2 * start - len(lines)) - 0.2 * len(lines) * (not lines[start][1])

    ends, after_item = [], False
    for start, (number, words) in enumerate(lines):
        if number and after_item and max(start, len(lines) - start) <= each:
            ends.append(start)
        if number:
            after_item = bool(words)
    if ends:
        middle = min(ends, key=worth)
        return [lines[:middle], lines[middle:]]
    return [lines[start : start + each] for start in range(0, len(lines), each)]


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
