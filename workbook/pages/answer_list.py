"""The list of answers: every answer of a workbook by item number, for fast marking.

In: a plan. Out: pages. The list uses the largest type, from 11 points down to 6, that fits
on one page. If even 6 points do not fit, the list runs to a second page.
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
"""Line spacing in font sizes: the minimum, and the maximum where there is room."""
_COLUMNS, _GAP = 2, 16.0
_INSET = 2.2
"""Distance from an item's number to its answers, in font sizes."""
_HEAD = 56.0
"""Height of the title in points."""

Line = tuple[str, str]
"""The bold part of a line and the regular part after it.

The bold part is an item's number, or "" on a continuation line. A heading is all bold.
"""


def lay_out_answers(plan: Plan, paper: Paper) -> list[Page]:
    """The pages of a workbook's list of answers."""
    width = (paper.right - paper.left - _GAP * (_COLUMNS - 1)) / _COLUMNS
    room = paper.top - _HEAD - paper.bottom
    size, lines = _fitted(_entries(plan), width, room)
    columns = _columns(lines, max(1, int(room / (_LEAD * size))))
    lead = max(min(room / max(map(len, columns), default=1), _WIDEST * size), _LEAD * size)
    pages = []
    count = -(-len(columns) // _COLUMNS)
    for index in range(count):
        page = Page(_title(plan, paper))
        for position, column in enumerate(columns[index * _COLUMNS : (index + 1) * _COLUMNS]):
            x, y = paper.left + position * (width + _GAP), paper.top - _HEAD
            for number, body in column:
                y -= lead
                if number:
                    page.elements.append(Text(x, y, number, "bold", size))
                if body:
                    page.elements.append(Text(x + _INSET * size, y, body, "regular", size))
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
    """For each section its heading, its other spellings and its items.

    Each entry is (letter or number, text, points); only headings have points.
    """
    entries = []
    for section, spellings in zip(plan.sections, plan.spellings):
        each = section.items[0].points
        worth = f"{section.points}, {each} each" if len(section.items) > 1 else f"{each}"
        entries.append((section.letter, section.title, worth))
        if spellings:
            entries.append(("", f"{SPELLINGS} {spellings}", ""))
        entries += [(f"{item.number}", item.exercise.once(answers), "") for item in section.items]
    return entries


def answers(exercise: Exercise) -> str:
    """The answers of an exercise on one line, row by row.

    Stacked notes run from low to high. Accepted alternatives follow in parentheses:
    ``"chord F♯m B C♯; numeral i iv V (also 2: iv6/4)"``; ``"right 1 2 3; left 5 4 3"``.
    """
    rows = accepted.box_rows(exercise.asked)
    alternatives = exercise.once(accepted.alternatives)
    tasks, hands = ({key[part] for key in rows} for part in (0, 1))
    row_texts = []
    for (asks, hand), row in rows.items():
        columns: dict[int, list[str]] = {}
        for blank in row:
            columns.setdefault(blank.column, []).append(blank.answer)
        other = alternatives[asks, hand].replace("\u00a0", " ")
        spaced = any(" " in answer for stack in columns.values() for answer in stack)
        joined = (", " if spaced else " ").join(
            "-".join(stack) for _, stack in sorted(columns.items())
        )
        parts = [asks] * (len(tasks) > 1) + [hand] * (len(hands) > 1) + [joined]
        parts += [f"({other})"] * bool(other)
        row_texts.append(" ".join(parts))
    return "; ".join(row_texts)


def _fitted(
    entries: list[tuple[str, str, str]], width: float, room: float
) -> tuple[float, list[Line]]:
    """The largest type size at which all lines fit on one page, and the lines at that size."""
    lines = _lines(entries, _LARGEST, width)
    holds = _COLUMNS * int(room / (_LEAD * _LARGEST))
    if len(lines) <= holds:
        return _LARGEST, lines
    # smaller type gives fewer lines and more room for them: capacity grows as 1 / size²
    size = max(_SMALLEST, _STEP * int(_LARGEST * sqrt(holds / len(lines)) / _STEP + 1))
    while True:
        lines = _lines(entries, size, width)
        if size <= _SMALLEST or len(lines) <= _COLUMNS * int(room / (_LEAD * size)):
            return size, lines
        size = max(_SMALLEST, size - _STEP)


def _columns(lines: list[Line], each: int) -> list[list[Line]]:
    """Split the lines into columns of at most ``each`` lines.

    On a single page the two columns are about equally long. The second begins with an item,
    or with a section if one begins near the middle.
    """

    def worth(start: int) -> float:
        return abs(2 * start - len(lines)) - 0.2 * len(lines) * (not lines[start][1])

    ends, after_item = [], False
    for start, (number, body) in enumerate(lines):
        if number and after_item and max(start, len(lines) - start) <= each:
            ends.append(start)
        if number:
            after_item = bool(body)
    if ends:
        middle = min(ends, key=worth)
        return [lines[:middle], lines[middle:]]
    return [lines[start : start + each] for start in range(0, len(lines), each)]


def _lines(entries: list[tuple[str, str, str]], size: float, width: float) -> list[Line]:
    lines: list[Line] = []
    for number, body, worth in entries:
        if worth:
            ending = f"  ({worth})"
            room = width - text.width(ending, "bold", size)
            heading = text.shorten(f"{number}  {body}", "bold", size, room)
            lines.append((heading + ending, ""))
            continue
        for index, line in enumerate(text.wrap(body, "regular", size, width - _INSET * size)):
            lines.append(("" if index else number, line))
    return lines
