"""The opening of a workbook: title, student, keys, instructions, total, score table.

In: a plan. Out: blocks. On a page of two columns the words stand at the left; at the right a box
for name, date and total, and below it the table of sections, a long one in two columns: all one
block. On a narrow page, or where that is too high for a page, they stand under each other, on one
page or on two. The title and the table are divided only where they are higher than a page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from workbook import design
from workbook.design import HANDS, Hand
from workbook.exercises.telling import OCTAVE
from workbook.marking.spellings import SIGNS
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.pages.accept_table import HEADING as ACCEPTED
from workbook.pages.columns import hand_of, most_columns
from workbook.pages.elements import (
    ARTIFACT,
    DOCUMENT,
    Element,
    Entry,
    Group,
    Panel,
    Rule,
    Start,
    Text,
    table_row,
)
from workbook.pages.expected_rows import ExpectedRows
from workbook.pages.flow import Block
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan, PlannedSection
from workbook.studio.roster import Row
from workbook.typesetting import text

CAUTION = "Stop if your hand hurts. What your teacher says about your own hand comes first."
TABLE = "In this book"
"""The heading of the table of sections."""
_RULES = {
    "share": "each exercise earns its share of right boxes, in half points.",
    "one off": "one point off an exercise for each wrong box, never below 0.",
    "all or nothing": "the points of an exercise if every box is right, otherwise none.",
}
_KEYS_NAMED = 8
"""More keys than these are told together if they can be."""


@dataclass
class _Column:
    """Elements set one below the other from the top of a column; ``y`` is where the next begins.

    ``cuts`` are where a page may end: the height, how many elements are above it, and whether the
    elements below belong to those above. ``loose`` has the cuts at which there may be more space.
    """

    left: float
    right: float
    y: float = 0.0
    elements: list[Element] = field(default_factory=list)
    cuts: list[tuple[float, int, bool]] = field(default_factory=list)
    loose: set[int] = field(default_factory=set)

    def space(self, height: float) -> None:
        """Leave space, and more if the page has room."""
        self.y -= height
        self.loose.add(len(self.cuts))

    def cut(self, keep: bool = False) -> None:
        """Let a page end here; with ``keep``, only if it must."""
        self.cuts.append((self.y, len(self.elements), keep))

    def keep(self, first: int) -> None:
        """Let no page end at the cuts from the ``first`` on, but for the last of them."""
        self.cuts[first:-1] = [(y, end, True) for y, end, _ in self.cuts[first:-1]]

    def blocks(self) -> list[Block]:
        """A block for each part between two cuts."""
        found, top, first = [], 0.0, 0
        start: tuple[Element, ...] = ()
        for number, (low, end, keep) in enumerate(self.cuts):
            stretch = design.OPENING_STRETCH * (number in self.loose)
            some = tuple(element.moved(0.0, -top) for element in self.elements[first:end])
            found.append(Block((*start, *some), top - low, stretch=stretch, keep=keep))
            start = next(((one,) for one in reversed(some) if isinstance(one, Start)), start)
            top, first = low, end
        return found

    def write(
        self,
        body: str,
        size: float,
        face: str = "regular",
        above: float = 0.0,
        only: str = "",
        keep: bool = False,
    ) -> None:
        """Set wrapped text; with ``keep``, a page ends in it only if it must."""
        self.y -= above
        self.elements.append(Start(DOCUMENT, "P"))
        for line in text.even(body, face, size, self.right - self.left, design.CHARACTERS):
            self.y -= size * design.LEADING
            y = self.y + 0.3 * size
            self.elements.append(Text(self.left, y, line, face, size, only=only))
            self.cut(keep)


def paragraph(
    body: str, face: str, size: float, lead: float, paper: Paper, above: float = 0.0
) -> list[Block]:
    """One block for each line of wrapped text."""
    start = Start(DOCUMENT, "P")
    return [
        Block((start, Text(paper.left, -lead, line, face, size)), lead, 0.0 if index else above)
        for index, line in enumerate(text.wrap(body, face, size, paper.right - paper.left))
    ]


def marking(plan: Plan) -> str:
    """How to mark, for whoever holds the answer key: the rule, what is right for every answer of
    its kind, and where to find the rest.
    """
    told = {one.sort for one in plan.spellings}
    always = {
        "other sound fingerings": _fingers(plan),
        "# for ♯, b for ♭": SIGNS in told,
        "note names with any octave": OCTAVE in told,
    }
    words = "; ".join(words for words, holds in always.items() if holds)
    sentences = [f"Marking: {_RULES[plan.row.template.marking]}"]
    if words:
        sentences.append(f"Accept {words}.")
    if told - {SIGNS, OCTAVE}:
        sentences.append(f"For the rest, see “{ACCEPTED}” in the list of answers.")
    return " ".join(sentences)


def _fingers(plan: Plan) -> bool:
    return any(b.asks == "finger" for item in plan.items for b in item.exercise.blanks)


def opening(plan: Plan, paper: Paper) -> list[Block]:
    """The blocks above the first section."""
    hand = HANDS[hand_of(plan, paper)]
    words = _Column(paper.left, paper.left + paper.column)
    side = _Column(paper.right - paper.column, paper.right)
    columns = [words, side]
    _names(words, plan, hand)
    _directions(words, plan, hand)
    if plan.weekly or len(plan.sections) <= design.TABLE_ROWS:
        _marking(words, plan, hand)
        _side(side, plan, hand)
    else:
        _box(side, plan, hand)
        side.space(design.BELOW_NAME)
        _marking(side, plan, hand)
        top = min(words.y - design.BELOW_NAME, side.y)
        halves = [_Column(one.left, one.right, top) for one in columns]
        _table(halves, plan, hand)
        columns += halves
    high = -min(column.y for column in columns)
    if not paper.narrow and high <= paper.top - paper.bottom:
        elements = [element for column in columns for element in column.elements]
        return [Block((Entry(plan.title, 40.0), *elements), high, below=4.0)]
    first, *others = _stack(plan, paper, hand).blocks()
    return [replace(first, elements=(Entry(plan.title, 40.0), *first.elements)), *others]


_Part = Callable[[_Column, Plan, Hand], None]
_Pages = tuple[tuple[_Part, ...], tuple[_Part, ...]]
"""What stands below the title on the first page, and what is on the second."""


def _stack(plan: Plan, paper: Paper, hand: Hand) -> _Column:
    """All parts under each other, in the first way in which they fill their pages.

    A way that has what to do on the second page is for a first exercise that has room below.
    """
    room = paper.top - paper.bottom
    for first, second in _ways(plan, room, hand):
        stack = _stacked(paper, plan, hand, *first)
        low = stack.y
        stack.keep(0)
        for part in second:
            part(stack, plan, hand)
        left = room - (low - stack.y)
        fits = _has_room(plan, paper, left) if _directions in second else left >= 0
        if -low <= room and fits:
            return stack
    return _stacked(paper, plan, hand, _box, _space, _directions, _space, _table_if_any, _marking)


def _stacked(paper: Paper, plan: Plan, hand: Hand, *parts: _Part) -> _Column:
    """A column of the title and these parts."""
    stack = _Column(paper.left, paper.right)
    for part in (_names, _space, *parts):
        part(stack, plan, hand)
    return stack


def _ways(plan: Plan, room: float, hand: Hand) -> Iterator[_Pages]:
    """The ways to set the opening on one page or two, the best first.

    All on one page; what to do above the first exercise, the rest tighter if need be; all on one
    page, set tight; the table alone on the second page, which it fills, or with how to mark. That
    leaves a gap in the workbook, and stands at the foot of the first page if it has room there.
    """
    table, flat = _table_if_any, partial(_box, flat=True)
    tight = partial(_table_if_any, leading=design.TABLE_TIGHT)
    words = (_directions, _marking)
    yield (_box, _space, *words, _space, table), ()
    if plan.weekly:
        return
    for box, rows in ((_box, table), (flat, table), (flat, tight)):
        yield (box, _space, rows, _marking), (_directions,)
        yield (box, _space, rows), words
    for rows in (table, tight):
        yield (flat, _space, *words, _space, rows), ()
    most, widest = design.TABLE_ALONE
    wide = min(max(most * room / hand.text / (len(plan.sections) + 1), design.TABLE_TIGHT), widest)
    tall = partial(_box, row=design.NAME_ROW_TALL)
    yield (tall, _space, *words), (partial(_table_if_any, leading=wide),)
    for box in (_box, flat):
        yield (box, _space, _directions), (tight, _marking)


def _has_room(plan: Plan, paper: Paper, room: float) -> bool:
    """Whether the first section can begin in this room, with one exercise at least."""
    size, most = hand_of(plan, paper), most_columns(plan, paper)
    return design.ABOVE_SECTION + plan.sections[0].once(_least, paper, size, most) <= room


def _least(section: PlannedSection, paper: Paper, size: str, most: int) -> float:
    return ExpectedRows(section, paper, size, most).least()


def _side(column: _Column, plan: Plan, hand: Hand) -> None:
    _box(column, plan, hand)
    _space(column, plan, hand)
    _table_if_any(column, plan, hand)


def _table_if_any(column: _Column, plan: Plan, hand: Hand, leading: float | None = None) -> None:
    if not plan.weekly:
        _table([column], plan, hand, leading)


def _space(column: _Column, _plan: Plan, _hand: Hand) -> None:
    column.space(design.BELOW_NAME)


def _names(column: _Column, plan: Plan, hand: Hand) -> None:
    """Title and student."""
    width = column.right - column.left
    wide = text.width(plan.title, "bold", design.TITLE)
    size = design.TITLE * min(
        1.0, max(width / max(wide, 1.0), design.TITLE_SHRUNK)
    )  # a joiner has no width
    column.elements.append(Start(DOCUMENT, "H1"))
    for index, line in enumerate(text.wrap(plan.title, "bold", size, width)):
        column.y -= size * (1.1 if index else 0.8)
        column.elements.append(Text(column.left, column.y, line, "bold", size))
    column.cut(keep=True)
    column.write(plan.row.student, hand.heading, above=8)


def _directions(column: _Column, plan: Plan, hand: Hand) -> None:
    """Keys, what to do, the caution, all on one page."""
    first = len(column.cuts)
    column.write(f"Keys: {_keys(plan.row)}", hand.text, above=3)
    for index, body in enumerate(filter(None, plan.row.template.instructions.split("\n"))):
        column.write(body, hand.text, above=0 if index else 6)
    if _fingers(plan):
        column.write(CAUTION, hand.text, above=6)
    column.keep(first)


def _marking(column: _Column, plan: Plan, _hand: Hand) -> None:
    """How to mark, on the answer key; it stays with what is above, for it leaves a gap in the
    workbook.
    """
    first = len(column.cuts) - 1
    column.write(marking(plan), design.QUIET, above=6, only="answer key")
    column.keep(first)


def _keys(row: Row) -> str:
    """The keys of a row as text; all twelve of a mode become "all major keys", and many keys "all
    keys with up to 5 sharps or flats" if they are these.

    Non-breaking spaces keep the name of each key on one line.
    """
    names, others = list[str](), list(row.keys)
    for mode, twelve in (("major", TWELVE_MAJOR), ("minor", TWELVE_MINOR)):
        if set(twelve) <= set(others):
            names.append(f"all {mode} keys")
            others = [key for key in others if key not in twelve]
    most = max((abs(key.fifths) for key in others), default=0)
    # in each mode, as many keys with sharps as with flats, and one with neither
    if len(set(others)) == 2 * (2 * most + 1) > _KEYS_NAMED:
        return f"all keys with up to {most} sharps or flats"
    return ", ".join(
        [*names, *(row.template.naming.key(key).replace(" ", "\u00a0") for key in others)]
    )


def _box(
    column: _Column,
    plan: Plan,
    hand: Hand,
    row: float = design.NAME_ROW,
    flat: bool = False,
) -> None:
    """A box for name, date and total, in lines ``row`` high; on the answer key it says what it is.

    If ``flat``, date and total are on one line.
    """
    left, right, top = column.left, column.right, column.y
    inset = left + design.NAME_INSET + text.width("Total ", "regular", hand.text) + 6
    name = text.shorten(plan.row.student, "bold", hand.text, right - design.NAME_INSET - inset)
    base = top - 0.5 * row - 0.35 * hand.text
    middle = (left + right) / 2
    cells = {  # where each begins and ends, and its line
        "Name": (left, right, 0),
        "Date": (left, middle if flat else right, 1),
        "Total": (middle if flat else left, right, 1 if flat else 2),
    }
    beside = {
        "Name": Text(inset, base, name, "bold", hand.text),
        "Date": Text(0.0, base, "ANSWER KEY", "bold", hand.text, "right", "answer key"),
        "Total": Text(0.0, base, f"/ {plan.points}", "regular", hand.text, "right"),
    }
    for word, (start, end, line) in cells.items():
        y, shown = base - row * line, beside[word]
        x = end - design.NAME_INSET if shown.align == "right" else shown.x
        column.elements += [
            Start(DOCUMENT, "P"),
            Text(start + design.NAME_INSET, y, word, "regular", hand.text),
            shown._replace(x=x, y=y),
        ]
        if line and start == left:
            column.elements.append(Rule(left, top - row * line, right, top - row * line, 0.6))
    bottom = top - row * (2 if flat else 3)
    if flat:
        column.elements.append(Rule(middle, bottom, middle, top - row, 0.6))
    column.elements.append(Panel((left, bottom, right, top), None, 0.9, 3.0))
    column.y = bottom
    column.cut()


def _table(
    columns: Sequence[_Column], plan: Plan, hand: Hand, leading: float | None = None
) -> None:
    """The sections and their points, in one column or in two; ``leading`` is in sizes of type."""
    each = -(-len(plan.sections) // len(columns))
    closest, widest = design.TABLE_LEADING
    # in two columns it stands under everything else, and the first exercise needs the room
    wide = min(max(design.TABLE_SHARE / each, closest), widest) if len(columns) == 1 else closest
    lead = hand.text * (leading or wide)
    table = Group("Table", DOCUMENT)
    head = table_row(table)
    digits = max(text.width(str(s.points), "regular", hand.text) for s in plan.sections)
    for number, column in enumerate(columns):
        y = column.y - hand.text
        if not number:
            title = Text(column.left, y, TABLE, "bold", hand.text)
            column.elements += [Start(head, "TH", "Column"), title]
        column.elements += [
            Start(ARTIFACT) if number else Start(head, "TH", "Column"),
            Text(column.right, y, "points", "regular", design.QUIET, "right"),
        ]
        column.y = y
        for section in plan.sections[each * number : each * (number + 1)]:
            _table_row(column, section, table, lead, digits, hand)
            column.cut(keep=section is not plan.sections[-1])
        column.y -= design.TABLE_RULE * hand.text


def _table_row(
    column: _Column,
    section: PlannedSection,
    table: Group,
    lead: float,
    digits: float,
    hand: Hand,
) -> None:
    """A section, whose title may have two lines; its points, which are ``digits`` wide at most, are
    on the last one. ``column.y`` is the last baseline.
    """
    left, right = column.left, column.right
    start = right - digits - text.width("/ ", "regular", hand.text)
    inset = left + text.width("W", "bold", hand.text) + 7
    rule = column.y - design.TABLE_RULE * hand.text
    row = table_row(table)
    room = start - 5 - design.POINTS_RULE - 6 - inset
    title = _in_two_lines(section.title, hand.text, room)
    first = column.y - lead
    heights = [first - hand.text * design.LEADING * number for number in range(len(title))]
    y = column.y = heights[-1]
    column.elements += [
        Rule(left, rule, right, rule, 0.4),
        Start(row, "TH", "Row"),
        Text(left, first, section.letter, "bold", hand.text),
        *(Text(inset, at, line, "regular", hand.text) for at, line in zip(heights, title)),
        Rule(start - 5 - design.POINTS_RULE, y - 2.5, start - 5, y - 2.5, 0.6),
        Start(row, "TD"),
        Text(start, y, "/", "regular", hand.text),
        Text(right, y, f"{section.points}", "regular", hand.text, "right"),
    ]


def _in_two_lines(title: str, size: float, room: float) -> list[str]:
    """A title in one line or two; what these do not hold is cut."""
    first, *others = text.wrap(title, "regular", size, room)
    lines = [first, " ".join(others)] if others else [first]
    return [text.shorten(line, "regular", size, room) for line in lines]
