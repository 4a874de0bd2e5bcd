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
from workbook.pages.elements import Box, Entry, Mark, Picture, Rule, Sheet, Text
from workbook.pages.flow import GUTTER, Block, Page, place
from workbook.pages.item import item_block, item_lines, may_share_a_row, score
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


def lay_out(plan: Plan, snippets: dict[int, Snippet], page: Page) -> list[Sheet]:
    """The sheets of one workbook; ``snippets`` by item number."""
    return _book(plan, _title(plan, page), snippets, page, "Answer key")


def _book(
    plan: Plan, title: list[Block], snippets: dict[int, Snippet], page: Page, kind: str
) -> list[Sheet]:
    """The sheets of a title and all sections; ``kind`` stands at the foot of the answer key,
    "" is a study page.
    """
    blocks = [*title]
    for section, words in zip(plan.sections, plan.spellings):
        blocks += _section(section, words, snippets, page, brief=not kind)
    sheets = place(blocks, page, (lambda top: _staves(page, top)) if kind else lambda top: [])
    for index, sheet in enumerate(sheets):
        sheet.marks += foot(page, plan, f"page {index + 1} of {len(sheets)}", kind)
    return [page.finished(sheet, index) for index, sheet in enumerate(sheets)]


def _staves(page: Page, top: float) -> list[Mark]:
    """Empty staves from ``top`` to the foot of a page that would else be half empty."""
    marks: list[Mark] = [Text(page.left + GUTTER, top - 12, SPARE, "italic", 10.5)]
    y = top - 12 - _APART / 2
    while y - 4 * STAFF_SPACE >= page.bottom:
        marks += [
            Rule(
                page.left + GUTTER,
                y - line * STAFF_SPACE,
                page.right,
                y - line * STAFF_SPACE,
                _STAFF_LINE,
            )
            for line in range(5)
        ]
        y -= _APART
    return marks


def lay_out_study(plan: Plan, snippets: dict[int, Snippet], page: Page) -> list[Sheet]:
    """The sheets of a study page: no points, and tasks only where something is asked."""
    (key,) = plan.row.keys
    name = f"Study page: {plan.row.template.naming.key(key)}"
    blocks = [
        Block(
            (
                Entry(name, 0),
                Text(
                    page.left,
                    -22,
                    text.shorten(name, "bold", 22, page.right - page.left),
                    "bold",
                    22,
                ),
            ),
            28,
        )
    ]
    blocks += paragraph(plan.title, "regular", 12, 16, page)
    blocks += paragraph(CAUTION, "italic", 9, 15, page)
    return _book(_untold(plan), blocks, snippets, page, "")


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


def lay_out_slip(exercise: Exercise, snippet: Snippet) -> tuple[Sheet, tuple[float, float]]:
    """One exercise alone on a sheet just large enough, and that sheet's size in points."""
    page = Page("letter")
    item = Item(1, exercise, len(exercise.asked))
    block = item_block(item, snippet, "", page.left, page.right)
    return (
        Sheet([mark.moved(0.0, block.height + 30) for mark in block.marks]),
        (page.whole[0], block.height + 60),
    )


def paragraph(
    words: str, face: str, size: float, lead: float, page: Page, above: float = 0.0
) -> list[Block]:
    """A block for each line."""
    return [
        Block((Text(page.left, -lead, line, face, size),), lead, 0.0 if index else above)
        for index, line in enumerate(text.wrap(words, face, size, page.right - page.left))
    ]


def _title(plan: Plan, page: Page) -> list[Block]:
    row, blocks = plan.row, []
    marks: list[Mark] = [Entry(plan.title, 40.0)]
    if not page.narrow:  # else it stands at the top of every page
        marks.append(Text(page.right, -12, "ANSWER KEY", "bold", 12, "right", "answer key"))
    for line in text.wrap(plan.title, "bold", 22, page.right - page.left - 100):
        blocks.append(Block((*marks, Text(page.left, -26, line, "bold", 22)), 26))
        marks = []
    blocks += paragraph(row.student, "regular", 15, 20, page, 6)
    blocks += paragraph(f"Keys: {_keys(row)}", "regular", 10.5, 14, page, 2)
    for index, words in enumerate(filter(None, row.template.instructions.split("\n"))):
        blocks += paragraph(words, "italic", 10.5, 14, page, 0 if index else 2)
    if any(b.asks == "finger" for item in plan.items for b in item.exercise.blanks):
        blocks += paragraph(CAUTION, "italic", 9, 13, page)
    return [*blocks, *_date(page), *_score_table(plan, page)]


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


def _date(page: Page) -> list[Block]:
    """The line for the date; right of it or above, on the answer key, a way to mark."""
    width = _DATE + 22
    marks: list[Mark] = [
        Text(page.left, -22, "Date"),
        Rule(page.left + 30, -24, min(page.left + _DATE, page.right), -24),
    ]
    lines = text.wrap(MARKING, "italic", 9, page.right - page.left - width)
    if len(lines) <= 2:
        marks += [
            Text(
                page.left + width,
                -28 + 11 * (len(lines) - 1 - index),
                line,
                "italic",
                9,
                only="answer key",
            )
            for index, line in enumerate(lines)
        ]
        return [Block(tuple(marks), 36)]
    above = [
        mark._replace(only="answer key")
        for block in paragraph(MARKING, "italic", 9, 0, page)
        for mark in block.marks
    ]
    return [*(Block((mark.moved(0.0, -13),), 13) for mark in above), Block(tuple(marks), 36)]


def _score_table(plan: Plan, page: Page) -> list[Block]:
    lead, x0, x1 = 18.0, page.left, page.right
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
    section: PlannedSection, also: str, snippets: dict[int, Snippet], page: Page, brief: bool
) -> list[Block]:
    """The heading, the task, ``also`` for a marker, and the rows of exercises. If ``brief``, the
    heading has the label of the only exercise, which then needs neither that nor a number.
    """
    shared: str | None = section.items[0].exercise.task
    letter = f"{section.letter}   "
    name, inset = letter + section.title, text.width(letter, "bold", 14)
    wide = page.right - page.left - 110
    lines = [name]
    if text.width(name, "bold", 14) > wide:
        first, *more = text.wrap(section.title, "bold", 14, wide - inset)
        lines = [
            letter + first,
            *[text.shorten(" ".join(more), "bold", 14, wide - inset)][: len(more)],
        ]
    low = -14 - 17 * (len(lines) - 1)
    worth = score(page.right, low, str(section.points), before="Score  ") if section.points else []
    blocks = [
        Block(
            (
                Entry(f"{section.letter}  {section.title}", 4),
                *(
                    Text(page.left + inset * bool(index), -14 - 17 * index, line, "bold", 14)
                    for index, line in enumerate(lines)
                ),
                *worth,
                Rule(page.left, low - 5, page.right, low - 5, 0.9),
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
            Block((Text(page.left, -15, line, "italic", 11),) if asked else (), 15, keep=True)
            for line in text.wrap(shared, "italic", 11, page.right - page.left)
        ]
    told = _TOLD / page.scale  # for the marker, who needs no larger print
    if also:
        size = 0.85 * told
        blocks += [
            Block(
                (Text(page.left, -0.95 * told, line, "italic", size, only="answer key"),),
                told,
                0.0 if index else _TAIL,
                keep=True,
            )
            for index, line in enumerate(
                text.wrap(f"{ALSO} {also}", "italic", size, page.right - page.left)
            )
        ]
    label = section.items[0].exercise.label
    label = "" if label == section.title else label
    if (
        brief
        and len(section.items) == len(lines) == 1
        and (
            text.width(name, "bold", 14) + text.width(label, "regular", 11) + 24
            <= page.right - page.left
        )
    ):
        blocks[0] = replace(
            blocks[0],
            marks=(*blocks[0].marks, Text(page.right, low, label, "regular", 11, "right")),
        )
        shared = None
    head = len(blocks)
    for row in _rows(section, snippets, shared, page):
        width, left, some = _column(page, len(row)), page.left, []
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
        marks=one.marks + other.marks,
        height=height,
        below=below,
        gives=min(one.gives, other.gives),
    )


def _first_row(block: Block) -> float:
    return max((mark.rect[3] for mark in block.marks if isinstance(mark, Box)), default=0.0)


def _lowered(block: Block, by: float) -> Block:
    """With the music ``by`` points lower, and what is told under it; the head stays."""
    if not by:
        return block
    first = next(i for i, mark in enumerate(block.marks) if isinstance(mark, Picture))
    return replace(
        block,
        height=block.height + by,
        marks=block.marks[:first] + tuple(mark.moved(0.0, -by) for mark in block.marks[first:]),
    )


def _column(page: Page, columns: int) -> float:
    return (page.right - page.left - _BETWEEN * (columns - 1)) / columns


def _rows(
    section: PlannedSection, snippets: dict[int, Snippet], shared: str | None, page: Page
) -> list[tuple[Item, ...]]:
    """The items in reading order, two short ones side by side."""
    rows, waiting = [], None
    for item in section.items:
        short = may_share_a_row(item, snippets[item.number], shared, _column(page, 2))
        if waiting and short:
            rows[-1] += (item,)
            waiting = None
        else:
            rows.append((item,))
            waiting = item if short else None
    return rows


def foot(page: Page, plan: Plan, number: str, kind: str) -> list[Mark]:
    """The line at the foot of a page: whose, which page, of what kind on the answer key, the
    key code.
    """
    middle = (page.left + page.right) / 2
    marks = [
        Rule(page.left, page.foot + 13, page.right, page.foot + 13, 0.4),
        Text(middle, page.foot, number, "regular", 9, "center"),
        Text(page.right, page.foot, plan.code, "regular", 9, "right"),
    ]
    side = middle - page.left - 50
    if page.narrow:  # the kind of page stands at the top, the title gives way
        name = text.shorten(plan.row.student, "regular", 9, side + 15)
        marks.append(Text(page.right, page.top + 5, kind, "bold", 9, "right", "answer key"))
    else:
        name = "  ·  ".join(filter(None, [plan.row.student, plan.title]))
        name = text.shorten(name, "regular", 9, side)
        marks.append(Text(page.right - 60, page.foot, kind, "bold", 9, "right", "answer key"))
    return [*marks, Text(page.left, page.foot, name, "regular", 9)]
