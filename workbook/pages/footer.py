"""The line at the foot of a page: whose it is, which page, the key code."""

from __future__ import annotations

from workbook.pages.elements import Element, Rule, Text
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan
from workbook.typesetting import text


def footer(paper: Paper, plan: Plan, number: str, kind: str) -> list[Element]:
    """The line at the foot of a page: whose, which page, of what kind on the answer key, the
    key code.
    """
    middle = (paper.left + paper.right) / 2
    elements: list[Element] = [
        Rule(paper.left, paper.foot + 13, paper.right, paper.foot + 13, 0.4),
        Text(middle, paper.foot, number, "regular", 9, "center"),
        Text(paper.right, paper.foot, plan.code, "regular", 9, "right"),
    ]
    side = middle - paper.left - 50
    if paper.narrow:  # the kind of page stands at the top, the title gives way
        name = text.shorten(plan.row.student, "regular", 9, side + 15)
        elements.append(Text(paper.right, paper.top + 5, kind, "bold", 9, "right", "answer key"))
    else:
        name = "  ·  ".join(filter(None, [plan.row.student, plan.title]))
        name = text.shorten(name, "regular", 9, side)
        elements.append(Text(paper.right - 60, paper.foot, kind, "bold", 9, "right", "answer key"))
    return [*elements, Text(paper.left, paper.foot, name, "regular", 9)]
