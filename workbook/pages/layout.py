"""Page design: where every line, number, snippet and box of a workbook stands.

In: a plan and a snippet per exercise. Out: sheets of marks in points from the
lower left corner. Workbook and answer key are two faces of the same sheets, so
nothing can stand elsewhere on one than on the other.
"""

from __future__ import annotations

from dataclasses import replace

from workbook.engraving.snippet import STAFF_SPACE, Snippet
from workbook.exercises.model import Exercise
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.pages.elements import Box, Element, Entry, Page, Picture, Rule, Text
from workbook.pages.flow import Block, place
from workbook.pages.item import item_block, item_lines, may_share_a_row, score
from workbook.pages.paper import GUTTER, Paper
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.studio.roster import Row
from workbook.typesetting import text

CAUTION = "Stop if your hand hurts. What your teacher says about your own hand comes first."
MARKING = (
    "A way to mark: one point off an exercise for each wrong box, never below 0. "
    "Accept other fingerings that are sound."
)
ALSO = "Other spellings:"
SPARE = "Spare staves: try things out here, or leave them empty."
_APART, _STAFF_LINE = 12 * STAFF_SPACE, 0.5
"""Points from staff to staff, and a line's width as LilyPond draws it (measured)."""
_BETWEEN, _DATE, _LEVEL = 18.0, 190.0, 12.0
"""Points between two exercises side by side; how far the line for the date reaches; by how
much one of the two is lowered for the sake of even rows."""
_TOLD, _TAIL, _AIR = 10.0, 2.5, 8.0
"""Points from line to line of what is told to a marker, the first one in the white above the
exercises; how far the letters of the task reach down; how much white comes back where the
page has room."""


def lay_out(plan: Plan, snippets: dict[int, Snippet], paper: Paper) -> list[Page]:
    """The sheets of one workbook; ``snippets`` by item number."""
    return _book(plan, _title(plan, paper), snippets, paper, "Answer key")


def _book(
    plan: Plan, title: list[Block], snippets: dict[int, Snippet], paper: Paper, kind: str
) -> list[Page]:
    """The sheets of a title and all sections; ``kind`` stands at the foot of the answer key,
    "" is a study page.
    """
    blocks = [*title]
    for section, words in zip(plan.sections, plan.spellings):
        blocks += _section(section, words, snippets, paper, brief=not kind)
    pages = place(blocks, paper, (lambda top: _staves(paper, top)) if kind else lambda top: [])
    for index, page in enumerate(pages):
        page.elements += foot(paper, plan, f"page {index + 1} of {len(pages)}", kind)
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


def paragraph(
    words: str, face: str, size: float, lead: float, paper: Paper, above: float = 0.0
) -> list[Block]:
    """A block for each line."""
    return [
        Block((Text(paper.left, -lead, line, face, size),), lead, 0.0 if index else above)
        for index, line in enumerate(text.wrap(words, face, size, paper.right - paper.left))
    ]


def _title(plan: Plan, paper: Paper) -> list[Block]:
    row, blocks = plan.row, []
    elements: list[Element] = [Entry(plan.title, 40.0)]
    if not paper.narrow:  # else it stands at the top of every page
        elements.append(Text(paper.right, -12, "ANSWER KEY", "bold", 12, "right", "answer key"))
    for line in text.wrap(plan.title, "bold", 22, paper.right - paper.left - 100):
        blocks.append(Block((*elements, Text(paper.left, -26, line, "bold", 22)), 26))
        elements = []
    blocks += paragraph(row.student, "regular", 15, 20, paper, 6)
    blocks += paragraph(f"Keys: {_keys(row)}", "regular", 10.5, 14, paper, 2)
    for index, words in enumerate(filter(None, row.template.instructions.split("\n"))):
        blocks += paragraph(words, "italic", 10.5, 14, paper, 0 if index else 2)
    if any(b.asks == "finger" for item in plan.items for b in item.exercise.blanks):
        blocks += paragraph(CAUTION, "italic", 9, 13, paper)
    return [*blocks, *_date(paper), *_score_table(plan, paper)]


def _keys(row: Row) -> str:
    """The keys of a row, the twelve of a mode in a word, none broken over two lines."""
    said, rest = [], list(row.keys)
    for mode, twelve in (("major", TWELVE_MAJOR), ("minor", TWELVE_MINOR)):
        if set(twelve) <= set(rest):
            said.append(f"all {mode} keys")
            rest = [key for key in rest if key not in twelve]
    return ", ".join(
        [*said, *(row.template.naming.key(key).replace(" ", "\u00a0") for key in rest)]
    )


def _date(paper: Paper) -> list[Block]:
    """The line for the date; right of it or above, on the answer key, a way to mark."""
    width = _DATE + 22
    elements: list[Element] = [
        Text(paper.left, -22, "Date"),
        Rule(paper.left + 30, -24, min(paper.left + _DATE, paper.right), -24),
    ]
    lines = text.wrap(MARKING, "italic", 9, paper.right - paper.left - width)
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
        for block in paragraph(MARKING, "italic", 9, 0, paper)
        for element in block.elements
    ]
    return [
        *(Block((element.moved(0.0, -13),), 13) for element in above),
        Block(tuple(elements), 36),
    ]


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


def _section(
    section: PlannedSection, also: str, snippets: dict[int, Snippet], paper: Paper, brief: bool
) -> list[Block]:
    """The heading, the task, ``also`` for a marker, and the rows of exercises. If ``brief``, the
    heading has the label of the only exercise, which then needs neither that nor a number.
    """
    shared: str | None = section.items[0].exercise.task
    letter = f"{section.letter}   "
    name, inset = letter + section.title, text.width(letter, "bold", 14)
    wide = paper.right - paper.left - 110
    lines = [name]
    if text.width(name, "bold", 14) > wide:
        first, *more = text.wrap(section.title, "bold", 14, wide - inset)
        lines = [
            letter + first,
            *[text.shorten(" ".join(more), "bold", 14, wide - inset)][: len(more)],
        ]
    low = -14 - 17 * (len(lines) - 1)
    worth = score(paper.right, low, str(section.points), before="Score  ") if section.points else []
    blocks = [
        Block(
            (
                Entry(f"{section.letter}  {section.title}", 4),
                *(
                    Text(paper.left + inset * bool(index), -14 - 17 * index, line, "bold", 14)
                    for index, line in enumerate(lines)
                ),
                *worth,
                Rule(paper.left, low - 5, paper.right, low - 5, 0.9),
            ),
            8 - low,
            above=18,
            gives=14,
            takes=72,
            keep=True,
            opens=True,
        )
    ]
    asked = any(item.exercise.asked for item in section.items)
    if asked or brief:  # the room of a task is kept, so that all study pages of a key are alike
        blocks += [
            Block((Text(paper.left, -15, line, "italic", 11),) if asked else (), 15, keep=True)
            for line in text.wrap(shared, "italic", 11, paper.right - paper.left)
        ]
    told = _TOLD / paper.scale  # for the marker, who needs no larger print
    if also:
        size = 0.85 * told
        blocks += [
            Block(
                (Text(paper.left, -0.95 * told, line, "italic", size, only="answer key"),),
                told,
                0.0 if index else _TAIL,
                keep=True,
            )
            for index, line in enumerate(
                text.wrap(f"{ALSO} {also}", "italic", size, paper.right - paper.left)
            )
        ]
    label = section.items[0].exercise.label
    label = "" if label == section.title else label
    if (
        brief
        and len(section.items) == len(lines) == 1
        and (
            text.width(name, "bold", 14) + text.width(label, "regular", 11) + 24
            <= paper.right - paper.left
        )
    ):
        blocks[0] = replace(
            blocks[0],
            elements=(*blocks[0].elements, Text(paper.right, low, label, "regular", 11, "right")),
        )
        shared = None
    head = len(blocks)
    for row in _rows(section, snippets, shared, paper):
        width, left, some = _column(paper, len(row)), paper.left, []
        for item in row:
            make = item_lines if len(row) == 1 and len(snippets[item.number].lines) > 1 else _whole
            some += make(item, snippets[item.number], shared, left, left + width)
            left += width + _BETWEEN
        blocks += some if len(row) == 1 else [_beside(*some)]
    first = blocks[head]
    blocks[head] = replace(
        first,
        gives=0.0,
        takes=_AIR * bool(also),
        above=max(first.above - (told + _TAIL) * bool(also), 1.0),
    )
    return blocks


def _whole(*args) -> list[Block]:
    return [item_block(*args)]


def _beside(one: Block, other: Block) -> Block:
    """Two exercises in one row, their first rows of boxes at one height if that takes little."""
    lower = _first_row(other) - _first_row(one)
    if 0 < abs(lower) <= _LEVEL:
        one, other = _lowered(one, -min(lower, 0.0)), _lowered(other, max(lower, 0.0))
    height = max(one.height, other.height)
    below = max(one.height + one.below, other.height + other.below) - height
    return replace(
        one,
        elements=one.elements + other.elements,
        height=height,
        below=below,
        gives=min(one.gives, other.gives),
    )


def _first_row(block: Block) -> float:
    return max(
        (element.rect[3] for element in block.elements if isinstance(element, Box)), default=0.0
    )


def _lowered(block: Block, by: float) -> Block:
    """With the music ``by`` points lower, and what is told under it; the head stays."""
    if not by:
        return block
    first = next(i for i, element in enumerate(block.elements) if isinstance(element, Picture))
    return replace(
        block,
        height=block.height + by,
        elements=block.elements[:first]
        + tuple(element.moved(0.0, -by) for element in block.elements[first:]),
    )


def _column(paper: Paper, columns: int) -> float:
    return (paper.right - paper.left - _BETWEEN * (columns - 1)) / columns


def _rows(
    section: PlannedSection, snippets: dict[int, Snippet], shared: str | None, paper: Paper
) -> list[tuple[Item, ...]]:
    """The items in reading order, two short ones side by side."""
    rows, waiting = [], None
    for item in section.items:
        short = may_share_a_row(item, snippets[item.number], shared, _column(paper, 2))
        if waiting and short:
            rows[-1] += (item,)
            waiting = None
        else:
            rows.append((item,))
            waiting = item if short else None
    return rows


def foot(paper: Paper, plan: Plan, number: str, kind: str) -> list[Element]:
    """The line at the foot of a page: whose, which page, of what kind on the answer key, the
    key code.
    """
    middle = (paper.left + paper.right) / 2
    elements = [
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
