"""The footer of a page: student, title, page number, key code."""

from __future__ import annotations

from workbook import design
from workbook.pages.elements import ARTIFACT, Element, Rule, Start, Text
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan
from workbook.typesetting import text


def footer(paper: Paper, plan: Plan, number: str, kind: str) -> list[Element]:
    """The footer of a page. ``number`` is its page number as text.

    ``kind`` is the kind of document ("Answer key"), printed on the answer key only.
    """
    middle = (paper.left + paper.right) / 2
    elements: list[Element] = [
        Start(ARTIFACT),
        Rule(
            paper.left,
            paper.foot + design.FOOT_RULE,
            paper.right,
            paper.foot + design.FOOT_RULE,
            0.4,
        ),
        Text(middle, paper.foot, number, "regular", design.QUIET, "center"),
        Text(paper.right, paper.foot, plan.code, "regular", design.QUIET, "right"),
    ]
    side = middle - paper.left - design.FOOT_MIDDLE
    if paper.narrow:  # no room: the kind moves to the top of the page, the title is dropped
        name = text.shorten(_who(plan), "regular", design.QUIET, side + 15)
        elements.append(
            Text(
                paper.right,
                paper.top + design.KIND_ABOVE,
                kind,
                "bold",
                design.QUIET,
                "right",
                "answer key",
            )
        )
    else:
        name = _name(plan, side)
        elements.append(
            Text(
                paper.right - design.FOOT_KIND,
                paper.foot,
                kind,
                "bold",
                design.QUIET,
                "right",
                "answer key",
            )
        )
    return [*elements, Text(paper.left, paper.foot, name, "regular", design.QUIET)]


def running_head(paper: Paper, plan: Plan) -> list[Element]:
    """The heading of every study page but the first: key, level, and a line for the name.

    Where there is little room, the level alone stands there of the title, and the line is shorter.
    """
    y, gap = paper.top + design.RUNNING_HEAD, 12.0
    half = paper.measure / 2 - gap
    said = f"{_who(plan)}  ·  {plan.title}"
    if text.width(said, "regular", design.QUIET) > half:
        level = f"{_who(plan)}  ·  {plan.row.template.title}"
        said = text.shorten(level, "regular", design.QUIET, 1.2 * half)
    start = paper.left + gap + max(half, text.width(said, "regular", design.QUIET))
    line = start + text.width("Name ", "regular", design.QUIET)
    return [
        Start(ARTIFACT),
        Text(paper.left, y, said, "regular", design.QUIET),
        Text(start, y, "Name", "regular", design.QUIET),
        Rule(line, y - 2.5, paper.right, y - 2.5, 0.6),
    ]


def _who(plan: Plan) -> str:
    """The student, or the key of a study page."""
    return plan.row.student or plan.row.template.naming.key(plan.row.keys[0])


def _name(plan: Plan, room: float) -> str:
    """Student and title. If they do not fit, the student's name is cut first; the title has what
    the name leaves, three fifths of the room at least.
    """
    who = _who(plan)
    most = max(0.6 * room, room - text.width(who, "regular", design.QUIET))
    title = text.shorten(f"  ·  {plan.title}", "regular", design.QUIET, most)
    rest = room - text.width(title, "regular", design.QUIET)
    return text.shorten(who, "regular", design.QUIET, rest) + title
