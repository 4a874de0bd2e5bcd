"""One exercise on the page: number, label, points, music, boxes.

In: a planned item, its snippet, a column of the page. Out: blocks of elements.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from workbook.engraving.rows import box, signature_place
from workbook.engraving.snippet import STAFF_SPACE, Snippet
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Blank, Exercise, Slot
from workbook.marking import answer_rows
from workbook.pages.elements import Box, Element, Picture, Text
from workbook.pages.flow import Block
from workbook.pages.paper import GUTTER
from workbook.planning.plan import Item
from workbook.typesetting import figured, text

_ABOVE, _LABEL, _TASK, _TO_MUSIC, _BELOW, _NOTE = 8.0, 18.0, 14.0, 7.0, 14.0, 10.5
_REPEATED = 18.0
"""Height in points of the heading repeated where an exercise continues on the next page."""
_SHRINK, _CLOSEST, _STRETCH, _LINE_STRETCH = 12.0, 13.0, 64.0, 20.0
"""Points: the most that the space above an item or a line may shrink, the least distance
between two lines, and the most that the space above an item, or above a line, may stretch."""
_ANSWER_SIZE, _NOTE_SIZE = 14.0, 9.0
"""Font sizes: of answers where the box allows it, and of notes to the marker."""
_BESIDE = 2.0
"""Clear space on either side of an answer in its box, in points."""
_SCORE = 72.0
"""Width in points of the score line at the right."""


def item_block(
    item: Item, snippet: Snippet, shared: str | None, left: float, right: float
) -> Block:
    """An item in one block between ``left`` and ``right``.

    ``shared`` is the task printed under the section's heading; a different task is printed
    with the item. If ``shared`` is None, the heading already has number, label and task, and
    the item repeats none of them.
    """
    head, top = _head(item, shared, left, right)
    notes, low = _notes(item, left, right)
    foot = -top - snippet.height * _fit(snippet, right - left)
    elements = (
        *head,
        *music(item, snippet, left, right, foot),
        *(element.moved(0.0, foot) for element in notes),
    )
    return _item_block(elements, foot, low)


def item_lines(
    item: Item, snippet: Snippet, shared: str | None, left: float, right: float
) -> list[Block]:
    """A block for each line of an item's music; the first block includes the head."""
    head, top = _head(item, shared, left, right)
    notes, low = _notes(item, left, right)
    fit, lines = _fit(snippet, right - left), snippet.lines
    continued = Text(left + GUTTER, -10, f"{item.number}, continued", "italic", 10.5)
    blocks = []
    for index, band in enumerate(lines):
        last = index == len(lines) - 1
        first = top if index == 0 else 0.0
        foot = -first - fit * (band[1] - band[0])
        elements = head if index == 0 else []
        y = -first - fit * band[1]
        elements += music(item, snippet, left, right, y, band)
        if last:
            elements += [element.moved(0.0, foot) for element in notes]
        block = _item_block(elements, foot, low if last else 0.0)
        if not last:
            block = replace(block, below=0.0)
        if index:
            gap = fit * (lines[index - 1][0] - band[1])
            labels = _row_labels(item.exercise, snippet, left + GUTTER, y - _REPEATED, fit, band)
            block = replace(
                block,
                above=gap,
                shrink=min(max(gap - _CLOSEST, 0.0), _SHRINK),
                stretch=_LINE_STRETCH,
                within=True,
                repeated=(continued, *labels),
                repeated_height=_REPEATED,
            )
        blocks.append(block)
    return blocks


def _item_block(elements: Iterable[Element], foot: float, low: float) -> Block:
    """A block whose music ends at ``foot``, with ``low`` points of notes below it."""
    below = _BELOW - min(low, _BELOW - 2)
    return Block(
        tuple(elements),
        low - foot,
        above=_ABOVE,
        below=below,
        shrink=min(_ABOVE + below - 7, _SHRINK),
        stretch=_STRETCH,
    )


def _label(item: Item, width: float) -> list[str]:
    return text.wrap(item.exercise.label, "regular", 11, width - GUTTER - _SCORE)


def _fit(snippet: Snippet, width: float) -> float:
    """The scale at which a picture fits a column; 1 for music, which is engraved to fit."""
    return min(1.0, (width - GUTTER) / snippet.width)


def may_share_a_row(item: Item, snippet: Snippet, shared: str | None, width: float) -> bool:
    """Whether the item fits a column ``width`` points wide with few line breaks."""
    return (
        item.exercise.task == shared
        and snippet.width <= width - GUTTER
        and len(_label(item, width)) == 1
        and len(_note_lines(item.exercise, width - GUTTER)) <= 2
    )


def _head(item: Item, shared: str | None, left: float, right: float) -> tuple[list[Element], float]:
    """Number, label, points and the item's own task, and the height they take in points."""
    if shared is None:
        return [], 0.0
    x, y = left + GUTTER, -16.0
    elements: list[Element] = [
        Text(left, y, f"{item.number}", "bold", 14),
        *(score(right, y, str(item.points)) if item.points else []),
    ]
    for index, line in enumerate(_label(item, right - left)):
        y -= _TASK * bool(index)
        elements.append(Text(x, y, line, "regular", 11, grammar="words"))
    for line in _own_task(item, shared, right - left):
        y -= _TASK
        elements.append(Text(x, y, line, "italic", 10.5, grammar="words"))
    return elements, _LABEL - 16 - y + _TO_MUSIC


def music(
    item: Item,
    snippet: Snippet,
    left: float,
    right: float,
    y: float,
    band: tuple[float, float] | None = None,
) -> list[Element]:
    """The picture, or a band of it, with its lower edge at ``y``, and the boxes in it."""
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
    if blank.asks == "cadence":  # spans the numerals of its two chords if these are asked, too
        first, last = (
            snippet.slots.get(Slot("numeral", blank.hand, column))
            for column in (blank.column - 1, blank.column)
        )
        if first and last:
            return (first[0], cell[1], last[2], cell[3])
    return cell if blank.asks in DRAWN else box(blank, cell)


def _sizes(exercise: Exercise, rects: list[tuple[float, ...]]) -> dict[str, float]:
    """The font size of the answers in each kind of row, by ``asks``.

    It is the largest size, up to the standard one, at which every answer fits its box.
    """
    sizes: dict[str, float] = {}
    for blank, (x0, _, x1, _) in zip(exercise.blanks, rects):
        size = sizes.get(blank.asks, _ANSWER_SIZE)
        if blank.asks not in DRAWN:
            face, grammar = "regular" if blank.given else "bold", KINDS[blank.asks].figured
            width = figured.width(blank.answer, grammar, face, size) / size
            size = min(size, (x1 - x0 - 2 * _BESIDE) / width)
        sizes[blank.asks] = size
    return sizes


def _notes(item: Item, left: float, right: float) -> tuple[list[Element], float]:
    """The notes to the marker below music that ends at height 0, and their height."""
    x = left + GUTTER
    lines = _note_lines(item.exercise, right - x)
    return (
        [
            Text(
                x, -10.0 - index * _NOTE, line, size=_NOTE_SIZE, only="answer key", grammar="words"
            )
            for index, line in enumerate(lines)
        ],
        _NOTE * len(lines) + 2.5 if lines else 0.0,
    )


def score(x: float, y: float, points: str, face: str = "regular", before: str = "") -> list[Text]:
    """A blank line for the score, a slash and the maximum points, right-aligned at ``x``.

    ``points`` that are not a number (a column heading) are printed alone.
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


def _note_lines(exercise: Exercise, room: float) -> list[str]:
    """The notes to the marker under the music.

    All accepted alternatives come first. Reasons for answers follow as far as the last line
    has room.
    """
    *lines, line = text.wrap(exercise.once(alternatives), "regular", _NOTE_SIZE, room) or [""]
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
            if text.width(longer, "regular", _NOTE_SIZE) <= room:
                line, between = longer, "; "
    return [*lines, line] if line else []


def alternatives(exercise: Exercise) -> str:
    """The accepted alternatives of an exercise by position: ``"also note 1: 2"``.

    Names the rows where there are several.
    """
    return "; ".join(answer_rows.alternatives(exercise))


def _row_labels(
    exercise: Exercise, snippet: Snippet, x: float, y: float, fit: float, band: tuple[float, float]
) -> list[Text]:
    """Labels at the left of a line of music that say what each row of boxes asks.

    Empty if all rows ask the same.
    """
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
