"""The footer of a page: student, title, page number, key code."""

from __future__ import annotations

from workbook.pages.elements import Element, Rule, Text
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan
from workbook.typesetting import text


def footer(paper: Paper, plan: Plan, number: str, kind: str) -> list[Element]:
    """The footer of a page. ``number`` is its page number as text.

    ``kind`` is the kind of document ("Answer key"), printed on the answer key only.
    """
    middle = (paper.left + paper.right) / 2
    elements: list[Element] = [
        Rule(paper.left, paper.foot + 13, paper.right, paper.foot + 13, 0.4),
        Text(middle, paper.foot, number, "regular", 9, "center"),
        Text(paper.right, paper.foot, plan.code, "regular", 9, "right"),
    ]
    side = middle - paper.left - 50
    if paper.narrow:  # no room: the kind moves to the top of the page, the title is dropped
        name = text.shorten(plan.row.student, "regular", 9, side + 15)
        elements.append(Text(paper.right, paper.top + 5, kind, "bold", 9, "right", "answer key"))
    else:
        name = "  ·  ".join(filter(None, [plan.row.student, plan.title]))
        name = text.shorten(name, "regular", 9, side)
        elements.append(Text(paper.right - 60, paper.foot, kind, "bold", 9, "right", "answer key"))
    return [*elements, Text(paper.left, paper.foot, name, "regular", 9)]
