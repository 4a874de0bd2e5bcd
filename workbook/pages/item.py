"""One exercise on the page: number, label, points, music, boxes.

In: a planned item, its snippet, a column of the page. Out: marks, and their height.
"""

from __future__ import annotations

from workbook.engraving.rows import box
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import DRAWN, Exercise
from workbook.pages import text
from workbook.pages.marks import Box, Mark, Picture, Text
from workbook.studio.plan import Item

GUTTER = 30.0
"""Points for the item number, left of the label and the music."""
_ABOVE, _LABEL, _TASK, _TO_MUSIC, _BELOW = 8.0, 18.0, 14.0, 7.0, 14.0
_SCORE = 72.0
"""Points that the line for the score takes at the right."""


def item_height(item: Item, snippet: Snippet, shared: str, width: float) -> float:
    """The height of an item in a column ``width`` points wide.

    ``shared`` is the task under the section's heading; another one is printed here.
    """
    own = _TASK * len(_own_task(item, shared, width))
    return _ABOVE + _LABEL + own + _TO_MUSIC + snippet.height + _BELOW


def may_share_a_row(item: Item, snippet: Snippet, shared: str, width: float) -> bool:
    """Whether the item fits a column ``width`` points wide with nothing broken."""
    label = text.width(item.exercise.label, "regular", 11) + _SCORE
    return (item.exercise.task == shared and max(snippet.width, label) <= width - GUTTER)


def item_marks(item: Item, snippet: Snippet, shared: str, left: float, right: float,
               top: float) -> list[Mark]:
    """The marks of an item between ``left`` and ``right``, from ``top`` down."""
    x, y = left + GUTTER, top - _ABOVE - 16
    marks: list[Mark] = [Text(left, y, f"{item.number}", "bold", 14),
                         Text(x, y, item.exercise.label, "regular", 11),
                         *score(right, y, str(item.points))]
    for line in _own_task(item, shared, right - left):
        y -= _TASK
        marks.append(Text(x, y, line, "italic", 10.5))
    y = top - item_height(item, snippet, shared, right - left) + _BELOW
    marks.append(Picture(x, y, snippet))
    accepted = _also(item.exercise)
    if accepted:
        marks.append(Text(x, y - 10, text.shorten(accepted, "italic", 8.5, right - x),
                          "italic", 8.5, only="answer key"))
    marks += _row_labels(item.exercise, snippet, x, y)
    for blank in item.exercise.blanks:
        cell = snippet.slots[f"{blank.asks}.{blank.hand}.{blank.column}"]
        x0, y0, x1, y1 = cell if blank.asks in DRAWN else box(blank, cell)
        marks.append(Box((x + x0, y + y0, x + x1, y + y1), blank, item.number))
    return marks


def score(x: float, y: float, points: str, face: str = "regular", before: str = ""
          ) -> list[Text]:
    """A line for the score and the points to reach, slashes under one another.

    ``points`` that are no number (the heading of a column) are printed as they are.
    """
    if not points.isdigit():
        return [Text(x, y, points, face, align="right")]
    return [Text(x - 22, y, f"{before}______ /", face, align="right"),
            Text(x, y, points, face, align="right")]


def _own_task(item: Item, shared: str, width: float) -> list[str]:
    if item.exercise.task == shared:
        return []
    return text.wrap(item.exercise.task, "italic", 10.5, width - GUTTER)


def _also(exercise: Exercise) -> str:
    """Other fingers to accept, by hand and place: ``"right hand also note 1: 2"``."""
    parts = []
    for hand, word in (("right", "right hand"), ("left", "left hand")):
        notes = [f"note {b.column + 1}: {' or '.join(b.also)}" for b in exercise.blanks
                 if b.asks == "finger" and b.hand == hand and b.note is None
                 and b.also and not b.given]
        if notes:
            parts.append(f"{word} also " + ", ".join(notes))
    return "; ".join(parts)


def _row_labels(exercise: Exercise, snippet: Snippet, x: float, y: float) -> list[Text]:
    """Names the rows at their left where an exercise has more than one kind."""
    if exercise.figure:
        return []
    kinds: dict[tuple[str, str], int] = {}
    for blank in exercise.blanks:
        if blank.asks not in DRAWN:
            row = blank.asks, blank.hand
            kinds[row] = min(blank.column, kinds.get(row, blank.column))
    if len({asks for asks, _ in kinds}) < 2:
        return []
    labels = []
    for (asks, hand), first in sorted(kinds.items()):
        _, y0, _, y1 = snippet.slots[f"{asks}.{hand}.{first}"]
        labels.append(Text(x - 2, y + (y0 + y1) / 2 - 2.5, asks, "italic", 8.5, "right"))
    return labels
