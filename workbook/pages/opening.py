"""The opening of a workbook: title, student, keys, instructions, date, score table."""

from __future__ import annotations

from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.pages.elements import Element, Entry, Rule, Text
from workbook.pages.flow import Block
from workbook.pages.item import score
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan
from workbook.studio.roster import Row
from workbook.typesetting import text

CAUTION = "Stop if your hand hurts. What your teacher says about your own hand comes first."
_RULES = {
    "share": "each exercise earns its share of right boxes, in half points.",
    "one off": "one point off an exercise for each wrong box, never below 0.",
    "all or nothing": "the points of an exercise if every box is right, otherwise none.",
}
_DATE = 190.0
"""Points from the left margin to the end of the date line."""


def paragraph(
    body: str, face: str, size: float, lead: float, paper: Paper, above: float = 0.0
) -> list[Block]:
    """One block for each line of wrapped text."""
    return [
        Block((Text(paper.left, -lead, line, face, size),), lead, 0.0 if index else above)
        for index, line in enumerate(text.wrap(body, face, size, paper.right - paper.left))
    ]


def marking(plan: Plan) -> str:
    """How to mark, in a sentence or two for whoever holds the answer key."""
    return f"Marking: {_RULES[plan.row.template.marking]} Accept other fingerings that are sound."


def opening(plan: Plan, paper: Paper) -> list[Block]:
    """The blocks above the first section."""
    row, blocks = plan.row, []
    elements: list[Element] = [Entry(plan.title, 40.0)]
    if not paper.narrow:  # on narrow pages the footer puts it at the top of every page
        elements.append(Text(paper.right, -12, "ANSWER KEY", "bold", 12, "right", "answer key"))
    for line in text.wrap(plan.title, "bold", 22, paper.right - paper.left - 100):
        blocks.append(Block((*elements, Text(paper.left, -26, line, "bold", 22)), 26))
        elements = []
    blocks += paragraph(row.student, "regular", 15, 20, paper, 6)
    blocks += paragraph(f"Keys: {_keys(row)}", "regular", 10.5, 14, paper, 2)
    for index, body in enumerate(filter(None, row.template.instructions.split("\n"))):
        blocks += paragraph(body, "italic", 10.5, 14, paper, 0 if index else 2)
    if any(b.asks == "finger" for item in plan.items for b in item.exercise.blanks):
        blocks += paragraph(CAUTION, "italic", 9, 13, paper)
    scores = [_total(plan, paper)] if plan.weekly else _score_table(plan, paper)
    return [*blocks, *_date(marking(plan), paper), *scores]


def _keys(row: Row) -> str:
    """The keys of a row as text; all twelve of a mode become "all major keys".

    Non-breaking spaces keep the name of each key on one line.
    """
    names, others = [], list(row.keys)
    for mode, twelve in (("major", TWELVE_MAJOR), ("minor", TWELVE_MINOR)):
        if set(twelve) <= set(others):
            names.append(f"all {mode} keys")
            others = [key for key in others if key not in twelve]
    return ", ".join(
        [*names, *(row.template.naming.key(key).replace(" ", "\u00a0") for key in others)]
    )


def _date(marking: str, paper: Paper) -> list[Block]:
    """The date line; on the answer key, ``marking`` stands to its right or above it."""
    width = _DATE + 22
    elements: list[Element] = [
        Text(paper.left, -22, "Date"),
        Rule(paper.left + 30, -24, min(paper.left + _DATE, paper.right), -24),
    ]
    lines = text.wrap(marking, "italic", 9, paper.right - paper.left - width)
    if len(lines) <= 2:
        elements += [
            Text(
                paper.left + width,
                -28 + 11 * (len(lines) - 1 - index),
                line,
                "italic",
                9,
                only="answer key",
            )
            for index, line in enumerate(lines)
        ]
        return [Block(tuple(elements), 36)]
    above = [
        element._replace(only="answer key")
        for block in paragraph(marking, "italic", 9, 0, paper)
        for element in block.elements
        if isinstance(element, Text)
    ]
    return [
        *(Block((element.moved(0.0, -13),), 13) for element in above),
        Block(tuple(elements), 36),
    ]


def _total(plan: Plan, paper: Paper) -> Block:
    """The total of a week's sheet: its few sections have scores of their own."""
    elements = score(paper.right, -12.5, str(plan.points), "bold", before="Total  ")
    return Block((*elements,), 18, below=4)


def _score_table(plan: Plan, paper: Paper) -> list[Block]:
    lead, x0, x1 = 18.0, paper.left, paper.right
    columns = (x0 + 6, x0 + 0.59 * (x1 - x0), x1 - 6)
    lines = [("Section", "Items", "Score", "bold")]
    for section in plan.sections:
        numbers = [item.number for item in section.items]
        span = f"{numbers[0]}–{numbers[-1]}" if len(numbers) > 1 else f"{numbers[0]}"
        lines.append((f"{section.letter}   {section.title}", span, str(section.points), "regular"))
    lines.append(("Total", "", str(plan.points), "bold"))
    blocks = []
    for index, (first, middle, last, face) in enumerate(lines):
        name = text.shorten(first, face, 10.5, columns[1] - columns[0] - 10)
        top = [] if index else [Rule(x0, 0, x1, 0, 0.9)]
        blocks.append(
            Block(
                (
                    *top,
                    Text(columns[0], -12.5, name, face),
                    Text(columns[1], -12.5, middle, face),
                    *score(columns[2], -12.5, last, face),
                    Rule(x0, -lead, x1, -lead, 0.4),
                ),
                lead,
                below=0.0 if index < len(lines) - 1 else 14.0,
                keep=index in (0, len(lines) - 2),
            )
        )
    return blocks
