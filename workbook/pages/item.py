"""One exercise on the page: number, label, points, music, boxes.

In: a planned item, its snippet, a column of the page. Out: marks, and their height.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from workbook.engraving.rows import box, signature_place
from workbook.engraving.snippet import STAFF_SPACE, Snippet
from workbook.exercises.model import DRAWN, Blank, Exercise, Slot
from workbook.marking import accepted
from workbook.pages.elements import Box, Element, Picture, Text
from workbook.pages.flow import Block
from workbook.pages.paper import GUTTER
from workbook.planning.plan import Item
from workbook.typesetting import text

_ABOVE, _LABEL, _TASK, _TO_MUSIC, _BELOW, _TOLD = 8.0, 18.0, 14.0, 7.0, 14.0, 10.0
_AGAIN = 18.0
"""Points that the head of an exercise that goes on overleaf takes."""
_GIVES, _CLOSEST, _TAKES, _LINE_TAKES = 12.0, 13.0, 64.0, 20.0
"""Points: how much the white above an item or a line may lose, what stays between two
lines, and how much an item and a line may get."""
_ANSWER_SIZE = {"finger": 12.0, "interval": 12.0}
_BESIDE = 2.0
"""Points clear at either side of an answer in its box."""
_SCORE = 72.0
"""Points that the line for the score takes at the right."""


def item_block(
    item: Item, snippet: Snippet, shared: str | None, left: float, right: float
) -> Block:
    """An item in one piece, between ``left`` and ``right``.

    ``shared`` is the task under the section's heading; another one is printed here, and
    number and label are with it, unless ``shared`` is None: then all is said there.
    """
    head, top = _head(item, shared, left, right)
    told, low = _accepted(item, left, right)
    foot = -top - snippet.height * _fit(snippet, right - left)
    elements = (
        *head,
        *_music(item, snippet, left, right, foot),
        *(element.moved(0.0, foot) for element in told),
    )
    return _item_block(elements, foot, low)


def item_lines(
    item: Item, snippet: Snippet, shared: str | None, left: float, right: float
) -> list[Block]:
    """An item whose music has several lines: a block for each, the first with the head."""
    head, top = _head(item, shared, left, right)
    told, low = _accepted(item, left, right)
    fit, lines = _fit(snippet, right - left), snippet.lines
    note = Text(left + GUTTER, -10, f"{item.number}, continued", "italic", 10.5)
    blocks = []
    for index, band in enumerate(lines):
        last = index == len(lines) - 1
        first = top if index == 0 else 0.0
        foot = -first - fit * (band[1] - band[0])
        elements = head if index == 0 else []
        y = -first - fit * band[1]
        elements += _music(item, snippet, left, right, y, band)
        if last:
            elements += [element.moved(0.0, foot) for element in told]
        block = _item_block(elements, foot, low if last else 0.0)
        if not last:
            block = replace(block, below=0.0)
        if index:
            gap = fit * (lines[index - 1][0] - band[1])
            names = _row_labels(item.exercise, snippet, left + GUTTER, y - _AGAIN, fit, band)
            block = replace(
                block,
                above=gap,
                gives=min(max(gap - _CLOSEST, 0.0), _GIVES),
                takes=_LINE_TAKES,
                within=True,
                again=(note, *names),
                again_height=_AGAIN,
            )
        blocks.append(block)
    return blocks


def _item_block(elements: Iterable[Element], foot: float, low: float) -> Block:
    """A block whose music ends at ``foot``, with ``low`` points of notes below, and its white."""
    below = _BELOW - min(low, _BELOW - 2)
    return Block(
        tuple(elements),
        low - foot,
        above=_ABOVE,
        below=below,
        gives=min(_ABOVE + below - 7, _GIVES),
        takes=_TAKES,
    )


def _label(item: Item, width: float) -> list[str]:
    return text.wrap(item.exercise.label, "regular", 11, width - GUTTER - _SCORE)


def _fit(snippet: Snippet, width: float) -> float:
    """How much a picture must shrink for a column: 1 for music, which is engraved to fit."""
    return min(1.0, (width - GUTTER) / snippet.width)


def may_share_a_row(item: Item, snippet: Snippet, shared: str | None, width: float) -> bool:
    """Whether the item fits a column ``width`` points wide with little broken."""
    return (
        item.exercise.task == shared
        and snippet.width <= width - GUTTER
        and len(_label(item, width)) == 1
        and len(_told(item.exercise, width - GUTTER)) <= 2
    )


def _head(item: Item, shared: str | None, left: float, right: float) -> tuple[list[Element], float]:
    """Number, label, points and an own task, and how much lower the music begins."""
    if shared is None:
        return [], 0.0
    x, y = left + GUTTER, -16.0
    elements: list[Element] = [
        Text(left, y, f"{item.number}", "bold", 14),
        *(score(right, y, str(item.points)) if item.points else []),
    ]
    for index, line in enumerate(_label(item, right - left)):
        y -= _TASK * bool(index)
        elements.append(Text(x, y, line, "regular", 11))
    for line in _own_task(item, shared, right - left):
        y -= _TASK
        elements.append(Text(x, y, line, "italic", 10.5))
    return elements, _LABEL - 16 - y + _TO_MUSIC


def _music(
    item: Item,
    snippet: Snippet,
    left: float,
    right: float,
    y: float,
    band: tuple[float, float] | None = None,
) -> list[Element]:
    """The picture with its foot at ``y``, or a band of it, and the boxes that stand there."""
    x, fit = left + GUTTER, _fit(snippet, right - left)
    elements: list[Element] = [Picture(x, y, snippet, fit, band, item.number)]
    if band in (None, snippet.lines[0]):
        elements += _row_labels(item.exercise, snippet, x, y, fit, snippet.lines[0])
    rects = [_rect(blank, snippet) for blank in item.exercise.blanks]
    sizes = _sizes(item.exercise, rects)
    for blank, (x0, y0, x1, y1) in zip(item.exercise.blanks, rects):
        if band and not band[0] <= y0 <= band[1]:
            continue
        elements.append(
            Box(
                (x + fit * x0, y + fit * y0, x + fit * x1, y + fit * y1),
                blank,
                item.number,
                fit * sizes[blank.asks],
                fit,
            )
        )
    return elements


def _rect(blank: Blank, snippet: Snippet) -> tuple[float, ...]:
    cell = snippet.slots[blank.slot]
    if blank.asks == "signature":
        return signature_place(cell, STAFF_SPACE)
    if blank.asks == "cadence":  # as wide as the numerals of its two chords, where these are asked
        first, last = (
            snippet.slots.get(Slot("numeral", blank.hand, column))
            for column in (blank.column - 1, blank.column)
        )
        if first and last:
            return (first[0], cell[1], last[2], cell[3])
    return cell if blank.asks in DRAWN else box(blank, cell)


def _sizes(exercise: Exercise, rects: list[tuple[float, ...]]) -> dict[str, float]:
    """The size of the answers by what they answer: one for all of a kind, the largest
    (up to the usual one) at which each fits its box.
    """
    sizes: dict[str, float] = {}
    for blank, (x0, _, x1, _) in zip(exercise.blanks, rects):
        size = sizes.get(blank.asks, _ANSWER_SIZE.get(blank.asks, 13.0))
        if blank.asks not in DRAWN:
            wide = text.width(blank.answer, "regular" if blank.given else "bold", 1.0)
            size = min(size, (x1 - x0 - 2 * _BESIDE) / wide)
        sizes[blank.asks] = size
    return sizes


def _accepted(item: Item, left: float, right: float) -> tuple[list[Element], float]:
    """The lines below the music at height 0, and how far down they reach."""
    x = left + GUTTER
    told = _told(item.exercise, right - x)
    return (
        [
            Text(x, -10.0 - index * _TOLD, line, "italic", 8.5, only="answer key")
            for index, line in enumerate(told)
        ],
        _TOLD * len(told) + 2.5 if told else 0.0,
    )


def score(x: float, y: float, points: str, face: str = "regular", before: str = "") -> list[Text]:
    """A line for the score and the points to reach, slashes under one another.

    ``points`` that are no number (the heading of a column) are printed as they are.
    """
    if not points.isdigit():
        return [Text(x, y, points, face, align="right")]
    return [
        Text(x - 22, y, f"{before}______ /", face, align="right"),
        Text(x, y, points, face, align="right"),
    ]


def _own_task(item: Item, shared: str, width: float) -> list[str]:
    if item.exercise.task == shared or not item.exercise.asked:
        return []
    return text.wrap(item.exercise.task, "italic", 10.5, width - GUTTER)


def _told(exercise: Exercise, room: float) -> list[str]:
    """The lines under the music for whoever marks it: all else to accept, then, as far as the
    last line has room for them, the reasons of some answers.
    """
    *lines, line = text.wrap(exercise.once(also), "italic", 8.5, room) or [""]
    between = " — "
    hands = len({blank.hand for blank in exercise.blanks}) > 1
    for blank in exercise.blanks:
        if blank.why and not blank.given:
            place = (
                "signature"
                if blank.asks == "signature"
                else f"{blank.hand} hand note"
                if hands
                else "note"
            )
            reason = f"{place} {blank.column + 1}: {blank.why}"
            longer = f"{line}{between}{reason}" if line else reason
            if text.width(longer, "italic", 8.5) <= room:
                line, between = longer, "; "
    return [*lines, line] if line else []


def also(exercise: Exercise) -> str:
    """What else to accept, by place: ``"also note 1: 2"``; with the row's kind where there are
    several, and the hand where both play. A line may end between two places and not within
    one, but for a long row of fingers.
    """
    told = exercise.once(accepted.alternatives)
    kinds = {asks for asks, _ in told}
    hands = len({blank.hand for blank in exercise.blanks}) > 1
    return "; ".join(
        " ".join(
            [asks] * (len(kinds) > 1 and asks not in accepted.PLAYED)
            + [f"{hand} hand"] * (hands and asks in accepted.PLAYED)
            + [words]
        )
        for (asks, hand), words in told.items()
        if words
    )


def _row_labels(
    exercise: Exercise, snippet: Snippet, x: float, y: float, fit: float, band: tuple[float, float]
) -> list[Text]:
    """Names the rows of a line of music at its left where an exercise has more than one kind."""
    if exercise.figure:
        return []
    rows: dict[tuple[str, str], tuple[float, float]] = {}
    for blank in exercise.blanks:
        if blank.asks not in DRAWN:
            _, y0, _, y1 = snippet.slots[blank.slot]
            if band[0] <= y0 <= band[1]:
                rows.setdefault((blank.asks, blank.hand), (y0, y1))
    if len({asks for asks, _ in rows}) < 2:
        return []
    return [
        Text(x - GUTTER, y + fit * (y0 + y1) / 2 - 2.5, asks, "italic", 8.5)
        for (asks, _), (y0, y1) in sorted(rows.items())
    ]
