"""Page design: where every line, number, snippet and box of a workbook stands.

In: a plan and a snippet for each exercise. Out: pages of elements in points from the
lower left corner. Workbook and answer key are two faces of the same pages, so
nothing can stand elsewhere on one than on the other.
"""

from __future__ import annotations

from dataclasses import replace

from workbook.engraving.snippet import STAFF_SPACE, Snippet
from workbook.exercises.model import Exercise
from workbook.pages.elements import Element, Entry, Page, Rule, Text
from workbook.pages.flow import Block, place
from workbook.pages.footer import footer
from workbook.pages.item import item_block
from workbook.pages.opening import CAUTION, opening, paragraph
from workbook.pages.paper import GUTTER, Paper
from workbook.pages.section import section_blocks
from workbook.planning.plan import Item, Plan
from workbook.typesetting import text

SPARE = "Spare staves: try things out here, or leave them empty."
_APART, _STAFF_LINE = 12 * STAFF_SPACE, 0.5
"""Points from staff to staff, and a line's width as LilyPond draws it (measured)."""


def lay_out(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[Page]:
    """The sheets of one workbook; ``snippets`` by item number."""
    return _book(plan, opening(plan, paper), snippets, paper, "Answer key")


def _book(
    plan: Plan, title: list[Block], snippets: dict[int, Snippet], paper: Paper, kind: str
) -> list[Page]:
    """The sheets of a title and all sections; ``kind`` stands at the foot of the answer key,
    "" is a study page.
    """
    blocks = [*title]
    for section, words in zip(plan.sections, plan.spellings):
        blocks += section_blocks(section, words, snippets, paper, brief=not kind)
    pages = place(blocks, paper, (lambda top: _staves(paper, top)) if kind else lambda top: [])
    for index, page in enumerate(pages):
        page.elements += footer(paper, plan, f"page {index + 1} of {len(pages)}", kind)
    return [paper.finished(page, index) for index, page in enumerate(pages)]


def _staves(paper: Paper, top: float) -> list[Element]:
    """Empty staves from ``top`` to the foot of a page that would else be half empty."""
    elements: list[Element] = [Text(paper.left + GUTTER, top - 12, SPARE, "italic", 10.5)]
    y = top - 12 - _APART / 2
    while y - 4 * STAFF_SPACE >= paper.bottom:
        elements += [
            Rule(
                paper.left + GUTTER,
                y - line * STAFF_SPACE,
                paper.right,
                y - line * STAFF_SPACE,
                _STAFF_LINE,
            )
            for line in range(5)
        ]
        y -= _APART
    return elements


def lay_out_study(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[Page]:
    """The sheets of a study page: no points, and tasks only where something is asked."""
    (key,) = plan.row.keys
    name = f"Study page: {plan.row.template.naming.key(key)}"
    blocks = [
        Block(
            (
                Entry(name, 0),
                Text(
                    paper.left,
                    -22,
                    text.shorten(name, "bold", 22, paper.right - paper.left),
                    "bold",
                    22,
                ),
            ),
            28,
        )
    ]
    blocks += paragraph(plan.title, "regular", 12, 16, paper)
    blocks += paragraph(CAUTION, "italic", 9, 15, paper)
    return _book(_untold(plan), blocks, snippets, paper, "")


def _untold(plan: Plan) -> Plan:
    """The plan without what is told to a marker alone: a study page has no answer key."""

    def item(one: Item) -> Item:
        blanks = tuple(
            replace(blank, also=(), why="", versions=()) for blank in one.exercise.blanks
        )
        return replace(one, exercise=replace(one.exercise, blanks=blanks))

    return replace(
        plan,
        sections=tuple(
            replace(section, items=tuple(map(item, section.items))) for section in plan.sections
        ),
    )


def lay_out_slip(exercise: Exercise, snippet: Snippet) -> tuple[Page, tuple[float, float]]:
    """One exercise alone on a sheet just large enough, and that sheet's size in points."""
    paper = Paper("letter")
    item = Item(1, exercise, len(exercise.asked))
    block = item_block(item, snippet, "", paper.left, paper.right)
    return (
        Page([element.moved(0.0, block.height + 30) for element in block.elements]),
        (paper.whole[0], block.height + 60),
    )
