"""The layout of a workbook: the position of every line, number, snippet and box.

In: a plan and a snippet for each exercise. Out: pages of elements, in points from the
lower left corner. Workbook and answer key are two faces of the same pages, so their
elements always have the same positions.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from workbook import design
from workbook.design import HANDS
from workbook.engraving.snippet import STAFF_SPACE, Snippet
from workbook.exercises.model import Exercise
from workbook.music.naming import ENGLISH
from workbook.pages.columns import hand_of, most_columns
from workbook.pages.elements import DOCUMENT, Element, Entry, Page, Rule, Start, Text
from workbook.pages.flow import Block, paginate
from workbook.pages.footer import footer, running_head
from workbook.pages.item import item_block, item_parts
from workbook.pages.opening import CAUTION, opening, paragraph
from workbook.pages.paper import Paper
from workbook.pages.section import section_blocks
from workbook.planning.plan import Item, Plan
from workbook.typesetting import text

SPARE = "Spare staves: try things out here, or leave them empty."


def lay_out(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[Page]:
    """The pages of a workbook. ``snippets`` has the snippet of each item by its number."""
    return on_pages(plan, blocks(plan, snippets, paper), paper)


def blocks(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[list[Block]]:
    """The contents of a workbook's pages: its opening, then each section."""
    return [plan.once(opening, paper), *_sections(plan, snippets, paper, brief=False)]


def on_pages(plan: Plan, parts: Sequence[Sequence[Block]], paper: Paper) -> list[Page]:
    """The pages of a workbook whose ``blocks`` are known."""
    return _book(plan, parts, paper, "Answer key")


def _sections(
    plan: Plan, snippets: dict[int, Snippet], paper: Paper, brief: bool
) -> Iterator[list[Block]]:
    size, most, naming = hand_of(plan, paper), most_columns(plan, paper), plan.row.template.naming
    for section in plan.sections:
        yield section_blocks(section, snippets, paper, size, most, naming, brief=brief)


def _book(plan: Plan, parts: Sequence[Sequence[Block]], paper: Paper, kind: str) -> list[Page]:
    """The pages of a title and all sections.

    ``kind`` is printed in the answer key's footer; "" makes a study page.
    """
    whole = [block for part in parts for block in part]
    pages = paginate(whole, paper, (lambda top: _staves(paper, top)) if kind else lambda top: [])
    for index, page in enumerate(pages):
        page.elements += footer(paper, plan, f"page {index + 1} of {len(pages)}", kind)
        if index and not kind:
            page.elements += running_head(paper, plan)
    return [paper.finished(page, index) for index, page in enumerate(pages)]


def _staves(paper: Paper, top: float) -> list[Element]:
    """Empty staves that fill a half-empty page from ``top`` down."""
    y, elements = top - design.ABOVE_SPARE, list[Element]([Start(DOCUMENT, "P")])
    said = text.even(SPARE, "regular", design.TEXT, paper.measure, design.CHARACTERS)
    for number, line in enumerate(said):
        y -= design.LEADING * design.TEXT * bool(number)
        elements.append(Text(paper.left, y, line, "regular", design.TEXT))
    y -= design.SPARE_APART / 2
    while y - 4 * STAFF_SPACE >= paper.bottom:
        elements += [
            Rule(
                paper.left,
                y - line * STAFF_SPACE,
                paper.right,
                y - line * STAFF_SPACE,
                design.SPARE_LINE,
            )
            for line in range(5)
        ]
        y -= design.SPARE_APART
    return elements


def lay_out_study(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[Page]:
    """The pages of a study page: no points, and tasks only in sections with open blanks."""
    (key,) = plan.row.keys
    name = plan.row.template.naming.key(key)
    hand = HANDS[hand_of(plan, paper)]
    room = paper.measure - (0.0 if paper.narrow else paper.column + design.COLUMN_GAP)
    title = text.shorten(name, "bold", design.TITLE, room)
    base = -0.8 * design.TITLE
    elements: list[Element] = [
        Entry(f"Study page: {name}", 0),
        Start(DOCUMENT, "H1"),
        Text(paper.left, base, title, "bold", design.TITLE),
    ]
    lead = 8 - base
    beside = paper.right - paper.column
    if paper.narrow:
        beside += text.width(title, "bold", design.TITLE) + design.COLUMN_GAP
    low = [] if paper.right - beside >= design.NAME_LINE else [_name_block(paper, hand.text)]
    if not low:
        elements += _name_line(beside, paper.right, base, hand.text)
    head = [Block(tuple(elements), lead), *low]
    head += paragraph(f"Study page: {plan.title}", "regular", hand.heading, 18, paper)
    head += paragraph(CAUTION, "regular", design.QUIET, 15, paper)
    plan = _without_notes(plan)
    return _book(plan, [head, *_sections(plan, snippets, paper, brief=True)], paper, "")


def _name_line(left: float, right: float, y: float, size: float) -> list[Element]:
    """A rule on which to write a name."""
    start = left + text.width("Name ", "regular", size)
    return [
        Start(DOCUMENT, "P"),
        Text(left, y, "Name", "regular", size),
        Rule(start, y - 2.5, right, y - 2.5, 0.6),
    ]


def _name_block(paper: Paper, size: float) -> Block:
    """A rule for the name below a title that leaves too little room beside it."""
    return Block(
        tuple(_name_line(paper.left, paper.right, -design.NAME_BELOW, size)), design.NAME_HEIGHT
    )


def _without_notes(plan: Plan) -> Plan:
    """The plan without its notes to the marker, because a study page has no answer key."""

    def without(item: Item) -> Item:
        blanks = tuple(
            blank._replace(also=(), why="", versions=()) for blank in item.exercise.blanks
        )
        return replace(item, exercise=replace(item.exercise, blanks=blanks))

    return replace(
        plan,
        sections=tuple(
            replace(section, items=tuple(map(without, section.items))) for section in plan.sections
        ),
    )


def lay_out_slip(
    exercise: Exercise,
    snippet: Snippet,
    margin: float | None = None,
    points: int | None = None,
) -> tuple[Page, tuple[float, float]]:
    """One exercise on a page just high enough for it, and the page's size in points.

    ``margin`` is left on all sides; None leaves those of paper. ``points`` are what it is worth,
    by default one for each box.
    """
    paper = Paper("letter")
    item = Item(1, exercise, len(exercise.asked) if points is None else points)
    parts = item_parts(item, DOCUMENT, ENGLISH)
    block = item_block(item, snippet, "", paper.left, paper.right, design.DEFAULT_HAND, parts)
    if margin is None:
        left, right, margin = 0.0, paper.whole[0], design.SLIP_MARGIN
    else:
        left, right = paper.left - margin, paper.right + margin
    return (
        Page([element.moved(-left, block.height + margin) for element in block.elements]),
        (right - left, block.height + 2 * margin),
    )
