"""One exercise on the page: number, label, points, music, boxes.

In: a planned item, its snippet, a column of the page. Out: blocks of elements.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import pairwise
from math import floor, inf
from typing import NamedTuple

from workbook import design
from workbook.design import HANDS, Hand
from workbook.engraving import figures
from workbook.engraving.expected import expected_height
from workbook.engraving.frame import Frame
from workbook.engraving.rows import box, box_rows
from workbook.engraving.snippet import STAFF_SPACE, Rect, Snippet
from workbook.exercises.answers import in_two
from workbook.exercises.families import KINDS
from workbook.exercises.figures import Circle, Grid, Keyboard
from workbook.exercises.in_words import in_words
from workbook.exercises.model import DRAWN, Blank, Exercise, Slot
from workbook.marking import answer_rows
from workbook.music.naming import Naming
from workbook.pages.columns import EXAMPLE, grammar, shown_label, tag_width
from workbook.pages.elements import (
    ARTIFACT,
    DOCUMENT,
    Box,
    Element,
    Group,
    Panel,
    Picture,
    Rule,
    Start,
    Text,
)
from workbook.pages.flow import Block
from workbook.planning.plan import Item
from workbook.typesetting import figured, text

_new = tuple.__new__  # what a named tuple does, without its function


class Parts(NamedTuple):
    """An item in the reading order: the whole of it, and its music."""

    whole: Group
    music: Group


def item_parts(item: Item, within: Group, naming: Naming) -> Parts:
    """The parts of an item of the section ``within``; its notes are named as ``naming`` says."""
    whole = Group("Sect", within, title=f"{item.number}" * (item.number > 0))
    return Parts(whole, Group("Figure", whole, partial(item.exercise.once, in_words, naming)))


def expected(item: Item, shared: str | None, frame: Frame, width: float) -> float:
    """About how high an item will be in a column ``width`` wide, before it is engraved."""
    exercise, hand = item.exercise, HANDS[frame.size]
    _, top = _head(item, shared, 0.0, width, hand, DOCUMENT)
    _, low = _notes(item, 0.0, width, DOCUMENT)
    if exercise.figure:
        drawn = figures.draw(exercise, frame.size, width)
        return top + drawn.height * _scale(exercise, drawn, width, hand) + low
    return top + exercise.once(expected_height, frame) * hand.space + low


def item_block(
    item: Item,
    snippet: Snippet,
    shared: str | None,
    left: float,
    right: float,
    size: str,
    parts: Parts,
) -> Block:
    """An item in one block between ``left`` and ``right``, for the hand ``size``.

    ``shared`` is the task printed under the section's heading; a different task is printed
    with the item. If ``shared`` is None, the heading already has number, label and task, and
    the item repeats none of them.
    """
    hand = HANDS[size]
    head, top = _head(item, shared, left, right, hand, parts.whole)
    notes, low = _notes(item, left, right, parts.whole)
    scale = _scale(item.exercise, snippet, right - left, hand)
    foot = -top - snippet.height * scale
    aside = (right - left - scale * snippet.width) / 2 if _is_centred(item.exercise) else 0.0
    elements = (
        *head,
        Start(parts.music),
        *music(item, snippet, left + aside, foot, scale, size),
        *(element.moved(0.0, foot) for element in notes),
    )
    # of a figure, its top
    staff = foot + scale * (snippet.staff[1] if item.exercise.staves else snippet.height)
    return replace(_item_block(elements, foot, low), staff=staff)


def item_lines(
    item: Item,
    snippet: Snippet,
    shared: str | None,
    left: float,
    right: float,
    size: str,
    parts: Parts,
    closest: float,
) -> list[Block]:
    """A block for each line of an item's music, ``closest`` points apart at least; the first
    block includes the head.
    """
    hand = HANDS[size]
    head, top = _head(item, shared, left, right, hand, parts.whole)
    notes, low = _notes(item, left, right, parts.whole)
    fit, lines = _scale(item.exercise, snippet, right - left, hand), snippet.lines
    name = str(item.number) if item.number > 0 else EXAMPLE
    continued = Text(left, -10, f"{name}, continued", "regular", hand.text)
    blocks = []
    for index, band in enumerate(lines):
        last = index == len(lines) - 1
        first = top if index == 0 else 0.0
        foot = -first - fit * (band[1] - band[0])
        elements = [*(head if index == 0 else []), Start(parts.music)]
        y = -first - fit * band[1]
        elements += music(item, snippet, left, y, fit, size, band)
        if last:
            elements += [element.moved(0.0, foot) for element in notes]
        block = _item_block(elements, foot, low if last else 0.0)
        if not last:
            block = replace(block, below=0.0)
        if index:
            gap = fit * (lines[index - 1][0] - band[1])
            block = replace(
                block,
                above=gap,
                shrink=min(max(gap - closest, 0.0), design.LINE_SHRINK),
                stretch=design.LINE_STRETCH,
                within=True,
                repeated=(Start(ARTIFACT), continued),
                repeated_height=design.CONTINUED,
            )
        blocks.append(block)
    return blocks


def _item_block(elements: Iterable[Element], foot: float, low: float) -> Block:
    """A block whose music ends at ``foot``, with ``low`` points of notes below it."""
    below = design.BELOW_ITEM - min(low, design.BELOW_ITEM - 2)
    return Block(
        tuple(elements),
        low - foot,
        above=design.ABOVE_ITEM,
        below=below,
        shrink=min(design.ABOVE_ITEM + below - 7, design.ITEM_SHRINK),
        stretch=design.ITEM_STRETCH,
    )


def _is_centred(exercise: Exercise) -> bool:
    return isinstance(exercise.figure, Circle)


def _scale(exercise: Exercise, snippet: Snippet, width: float, hand: Hand) -> float:
    """By how much a picture is enlarged: music to the staff of the hand, a figure to fit."""
    if exercise.staves:
        return hand.space / STAFF_SPACE
    return min(design.KEYBOARD_ENLARGED if _is_to_shade(exercise) else 1.0, width / snippet.width)


def _is_to_shade(exercise: Exercise) -> bool:
    return isinstance(exercise.figure, Keyboard) and not exercise.figure.marked


def _head(
    item: Item, shared: str | None, left: float, right: float, hand: Hand, whole: Group
) -> tuple[list[Element], float]:
    """Number, label, points and the item's own task, and the height they take in points."""
    if shared is None:
        return [], 0.0
    size = hand.text
    x, y = left + tag_width(item, hand) + design.NUMBER_GAP, -size
    elements = [Start(whole, "P"), *_tag(item, left, y, hand)]
    points = score(right, y, str(item.points), size) if item.points else []
    room = right - x - (design.POINTS_RULE + 30 if points else 0.0)
    read = grammar(item.exercise)
    label = text.even(shown_label(item), "regular", size, room, design.CHARACTERS)
    for index, line in enumerate(label):
        y -= size * design.LEADING * bool(index)
        elements.append(Text(x, y, line, "regular", size, grammar=read))
    elements += points
    if item.exercise.choices:
        elements.append(Start(whole, "P"))
        elements += _choices(item.exercise.choices, left, right, y - 0.6 * size, size)
        lines = _choice_lines(item.exercise.choices, right - left, size)
        y -= 0.6 * size + design.CHOICE_LEADING * size * lines
    task = _own_task(item, shared, right - left, size)
    if task:
        elements.append(Start(whole, "P"))
    for line in task:
        y -= size * design.LEADING
        elements.append(Text(left, y, line, "regular", size, grammar=read))
    return elements, design.LABEL_TO_MUSIC - y


def _choice_lines(choices: Sequence[str], width: float, size: float) -> int:
    """How many lines a list of choices takes."""
    widest = max(text.width(choice, "regular", size) for choice in choices)
    room = (width - design.CHOICE_GAP) / (widest + 3 * size + design.CHOICE_GAP)
    across = len(choices) if width >= design.NARROW else 2
    return -(-len(choices) // max(1, min(across, int(room))))


def _choices(
    choices: Sequence[str], left: float, right: float, top: float, size: float
) -> list[Element]:
    """A framed list of choices, with their numbers."""
    lines = _choice_lines(choices, right - left, size)
    each, lead = -(-len(choices) // lines), design.CHOICE_LEADING * size
    elements: list[Element] = [
        Panel((left, top - lead * lines, right, top), None, 0.6, design.BADGE_CORNER)
    ]
    for index, choice in enumerate(choices):
        x = left + design.CHOICE_GAP + (right - left - design.CHOICE_GAP) / each * (index % each)
        y = top - lead * (index // each) - lead / 2 - 0.35 * size
        number = f"{index + 1}."
        elements += [
            Text(x, y, number, "bold", size),
            Text(x + text.width(number, "bold", size) + 6, y, choice, "regular", size),
        ]
    return elements


def _tag(item: Item, left: float, y: float, hand: Hand) -> list[Element]:
    """The number of an item, or the tag of an example."""
    if item.number > 0:
        return [Text(left, y, f"{item.number}", "bold", hand.text)]
    right, low, high = left + tag_width(item, hand), y - 0.42 * hand.text, y + hand.text
    return [
        Panel((left, low, right, high), design.TINT, radius=3.0),
        Text(left + design.TAG_PAD, y, EXAMPLE, "bold", hand.text),
    ]


def music(
    item: Item,
    snippet: Snippet,
    left: float,
    y: float,
    scale: float,
    size: str,
    band: tuple[float, float] | None = None,
) -> list[Element]:
    """The picture, or a band of it, with its staves from ``left`` and its lower edge at ``y``,
    and the boxes in it.
    """
    hand, exercise = HANDS[size], item.exercise
    x = left - scale * snippet.staff[0]
    elements: list[Element] = [Picture(x, y, snippet, scale, band, item.number)]
    drawn = _Drawn(snippet.name, snippet.slots)
    labels = exercise.once(_row_labels, drawn, x - left, scale, band)
    elements += [label.moved(left, y) for label in labels]
    places = exercise.once(_places, drawn, size, scale)
    flush = isinstance(exercise.figure, Grid)
    number, line, corner = item.number, hand.line, hand.corner
    for blank, (x0, y0, x1, y1), answer, framed, two in places:
        if band and not band[0] <= y0 / scale <= band[1]:
            continue
        rect = (x + x0, y + y0, x + x1, y + y1)
        made = (rect, blank, number, answer, line, corner, framed, flush, two)
        elements.append(_new(Box, made))
    return elements


@dataclass(frozen=True)
class _Drawn:
    """The slots of a snippet; those of one ``name`` are alike."""

    name: str
    slots: Mapping[Slot, Rect] = field(compare=False)


_Place = tuple[Blank, Rect, float, bool, bool]
"""A blank, its rectangle on the page from the snippet's corner, the size of its answer, whether it
is framed, and whether its answer has two lines."""


def _places(exercise: Exercise, drawn: _Drawn, size: str, scale: float) -> list[_Place]:
    """The positions of the blanks of an exercise, the same for all who share it."""
    rects = [_rect(blank, drawn.slots, size) for blank in exercise.blanks]
    plain = {(row.asks, row.hand) for row in box_rows(exercise, size) if row.printed}
    hand = HANDS[size]
    two = [
        (blank.asks, blank.hand) not in plain and _has_two_lines(blank, rect, hand, scale)
        for blank, rect in zip(exercise.blanks, rects)
    ]
    sizes = _sizes(exercise, rects, plain, two, hand, scale)
    heights = {y: scale * y for _, y0, _, y1 in rects for y in (y0, y1)}  # of rows, once each
    return [
        (
            blank,
            (scale * x0, heights[y0], scale * x1, heights[y1]),
            sizes[blank.asks],
            (blank.asks, blank.hand) not in plain,
            lines,
        )
        for blank, (x0, y0, x1, y1), lines in zip(exercise.blanks, rects, two)
    ]


def _has_two_lines(blank: Blank, rect: tuple[float, ...], hand: Hand, scale: float) -> bool:
    """Whether the answer in a box has two lines: in one for two, if it is too long for one."""
    kind, (x0, y0, x1, y1) = KINDS[blank.asks], rect
    if kind.short is None or scale * (y1 - y0) < hand.height(2) - 1:
        return False
    share = scale * (x1 - x0) / hand.width(kind.line)
    return len(kind.lines(blank.answer, share)) > 1


def _rect(blank: Blank, slots: Mapping[Slot, Rect], size: str) -> tuple[float, ...]:
    cell = slots[blank.slot]
    if blank.asks == "cadence":  # spans the numerals of its two chords if these are asked, too
        first, last = (
            slots.get(Slot("numeral", blank.hand, column))
            for column in (blank.column - 1, blank.column)
        )
        if first and last:
            return (first[0], cell[1], last[2], cell[3])
    return cell if blank.asks in DRAWN else box(blank, cell, size)


def _sizes(
    exercise: Exercise,
    rects: list[tuple[float, ...]],
    plain: Collection[tuple[str, str]],
    two: Sequence[bool],
    hand: Hand,
    scale: float,
) -> dict[str, float]:
    """The font size of the answers in each kind of row, by ``asks``.

    It is the largest size, up to the hand's, at which every answer fits its box. In ``plain`` rows
    on staves, which have no boxes, an answer has the space up to the next. ``two`` says of each
    blank whether its answer has two lines.
    """
    rooms: dict[str, float] = {}
    for asks, side in plain if exercise.staves else ():
        row = [b for b in zip(exercise.blanks, rects) if (b[0].asks, b[0].hand) == (asks, side)]
        middles = sorted({(blank.column, (x0 + x1) / 2) for blank, (x0, _, x1, _) in row})
        pitches = [b - a for (_, a), (_, b) in pairwise(middles) if b > a]
        rooms[asks] = min([*pitches, rooms.get(asks, inf)])
    sizes: dict[str, float] = {}
    for blank, (x0, _, x1, _), has_two in zip(exercise.blanks, rects, two):
        size = sizes.get(blank.asks, hand.answer)
        if blank.asks not in DRAWN:
            room, kind = x1 - x0, KINDS[blank.asks]
            face = "regular" if (blank.asks, blank.hand) in plain else "bold"
            lines = in_two(blank.answer) if has_two else (blank.answer,)
            if rooms.get(blank.asks, inf) < inf:
                room = max(room, rooms[blank.asks] - design.BETWEEN_WORDS)
            width = max(figured.width(line, kind.figured, face, size) for line in lines) / size
            size = min(size, (scale * room - 2 * design.BESIDE_ANSWER) / width)
        sizes[blank.asks] = size
    return {
        asks: size if size == hand.answer else _stepped(size, 0.5 if asks in rooms else 1.0)
        for asks, size in sizes.items()
    }


def _stepped(size: float, step: float) -> float:
    """The size rounded down to whole steps, so that a page has few sizes."""
    return floor(size / step) * step or size


def _notes(item: Item, left: float, right: float, whole: Group) -> tuple[list[Element], float]:
    """The notes to the marker below music that ends at height 0, and their height."""
    lines = _note_lines(item.exercise, right - left)
    start = [Start(whole, "P")] if lines else []
    return (
        [
            *start,
            *(
                Text(
                    left,
                    -10.0 - index * design.NOTE_LEADING,
                    line,
                    size=design.QUIET,
                    only="answer key",
                    grammar="words",
                )
                for index, line in enumerate(lines)
            ),
        ],
        design.NOTE_LEADING * len(lines) + 2.5 if lines else 0.0,
    )


def score(
    x: float, y: float, points: str, size: float, face: str = "regular", rule: float = 0.0
) -> list[Element]:
    """A rule to write the score on, a slash and the points, which end at ``x``.

    ``rule`` is the rule's length in points, that of an item's score if 0.
    """
    of = f"/ {points}"
    end = x - text.width(of, face, size) - 5
    return [
        Rule(end - (rule or design.POINTS_RULE), y - 2.5, end, y - 2.5, 0.6),
        Text(x, y, of, face, size, "right"),
    ]


def _own_task(item: Item, shared: str, width: float, size: float) -> list[str]:
    if item.exercise.task == shared or not (item.exercise.asked or item.number < 0):
        return []
    return text.even(item.exercise.task, "regular", size, width, design.CHARACTERS)


def _note_lines(exercise: Exercise, room: float) -> list[str]:
    """The notes to the marker under the music.

    All accepted alternatives come first. Reasons for answers follow as far as the last line
    has room.
    """
    *lines, line = text.wrap(exercise.once(alternatives), "regular", design.QUIET, room) or [""]
    between = " — "
    hands = len({blank.hand for blank in exercise.blanks}) > 1
    for blank in exercise.blanks:
        if blank.why and not blank.given:
            position = (
                "signature"
                if blank.asks == "signature"
                else f"{blank.hand} hand note"
                if hands
                else "note"
            )
            reason = f"{position} {blank.column + 1}: {blank.why}"
            longer = f"{line}{between}{reason}" if line else reason
            if text.width(longer, "regular", design.QUIET) <= room:
                line, between = longer, "; "
    return [*lines, line] if line else []


def alternatives(exercise: Exercise) -> str:
    """The accepted alternatives of an exercise by position: ``"also note 1: 2"``.

    Names the rows where there are several.
    """
    return "; ".join(answer_rows.alternatives(exercise))


def _row_labels(
    exercise: Exercise,
    drawn: _Drawn,
    x: float,
    scale: float,
    band: tuple[float, float] | None,
) -> list[Text]:
    """Labels that say what each row of boxes asks, or of which hand, at the left of the first line
    of music that has it; with a ``band``, of that line. Empty if there is nothing to distinguish,
    or no room.

    The labels begin at 0; ``x`` is the left edge of the music, whose lower edge is at 0.
    """
    if exercise.figure:
        return []
    boxes: dict[tuple[str, str], list[Rect]] = {}
    for blank in exercise.blanks:
        if blank.asks not in DRAWN:
            x0, y0, x1, y1 = drawn.slots[blank.slot]
            found = boxes.setdefault((blank.asks, blank.hand), [])
            if band is None or band[0] <= y0 <= band[1]:
                found.append((x + scale * x0, scale * y0, x + scale * x1, scale * y1))
    rows = {name: found[0] for name, found in boxes.items() if found}
    kinds, hands = ({row[part] for row in rows} for part in (0, 1))
    if len(kinds) < 2 and len(hands) < 2:
        return []
    labels: list[Text] = []
    for (_, hand), (x0, y0, _, y1) in sorted(rows.items()):
        beside = sorted(
            (first[0], name)
            for name, first in rows.items()
            if first[1] < y1 and y0 < first[3] and name[1] == hand
        )
        if beside[0][0] == x0:
            words = [asks for _, (asks, _) in beside] if len(kinds) > 1 else [hand]
            ends = [
                max(
                    (box[2] for _, name in beside for box in boxes[name] if box[2] <= at),
                    default=0.0,
                )
                for at, _ in beside
            ]
            starts = [at for at, _ in beside]
            labels += _labels(words, starts, ends, (y0 + y1) / 2)
    return labels


def _labels(
    words: Sequence[str], starts: Sequence[float], ends: Sequence[float], middle: float
) -> list[Text]:
    """The labels of rows that stand beside one another, whose first boxes begin at ``starts`` and
    the boxes before those end at ``ends``: at the left, in one line; or each before its own boxes;
    or at the left, in lines; or only that of the first. Empty if that has no room, either.
    """

    def label(word: str, at: float, y: float) -> Text:
        return Text(at, y - 3, word, "regular", design.QUIET)

    widths = [text.width(word, "regular", design.QUIET) for word in words]
    room = starts[0] - 2
    together = ", ".join(words)
    if text.width(together, "regular", design.QUIET) <= room:
        return [label(together, 0, middle)]
    if widths[0] > room:
        return []
    own = [start - width - design.ROW_LABEL for start, width in zip(starts[1:], widths[1:])]
    if all(at >= end + design.ROW_LABEL for at, end in zip(own, ends[1:])):
        return [label(word, at, middle) for word, at in zip(words, (0.0, *own))]
    lines = [f"{word}," for word in words[:-1]] + [words[-1]]
    if len(lines) == 2 and max(text.width(one, "regular", design.QUIET) for one in lines) <= room:
        apart = design.ROW_LABEL_LEADING * design.QUIET / 2
        return [label(one, 0, middle + up) for one, up in zip(lines, (apart, -apart))]
    return [label(words[0], 0, middle)]
