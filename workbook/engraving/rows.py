"""The rows of boxes around the staves: which ones, in what order, how large.

In: an exercise, and the hand that writes. Out: rows from top to bottom. Sizes are in staff
spaces of that hand; the widths of boxes are declared in ``exercises.answers`` and by families,
their heights in ``design``.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook import design
from workbook.design import HANDS, MM, Hand
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Blank, Exercise, Slot

_PRINTED = 2.8
"""The height of a row in which everything is printed and nothing is written, in staff spaces."""

_ABOVE = {"top": 0, "above": 1, "next": 2}
"""Rows above a staff from the top down, by ``AnswerKind.row``."""
ALIGN = {
    "cadence": 0.85,
    "metre": -0.7,
    "sign": -0.5,
    "meaning": -0.5,
    "phrase": -0.6,
    "period": 0.85,
}
"""Where in the width of a box its note is, from -1 (left) to 1; 0 if not listed. The box for a
cadence reaches back to the chord before, that for a kind of time or a sign over its bar, those for
phrases and periods along the line of music."""


@dataclass(frozen=True)
class BoxRow:
    """Boxes on one line, ``above`` or below the staff of ``hand``.

    ``stacks`` maps a column to the number of boxes there; ``wide`` is the width of a box for a
    middle hand, in millimetres, and ``lines`` are written in each; ``printed`` means that nothing
    is to be written. ``size`` names the hand that writes.
    """

    asks: str
    hand: str
    above: bool
    stacks: dict[int, int]
    wide: float
    lines: int = 1
    printed: bool = False
    size: str = design.DEFAULT_HAND

    @property
    def name(self) -> str:
        return f"{self.asks}.{self.hand}"

    def slot(self, column: int) -> Slot:
        """The row's slot in ``column``."""
        return Slot(self.asks, self.hand, column)

    @property
    def before(self) -> float:
        """The share of a box that stands before its column's middle."""
        return (1 + ALIGN.get(self.asks, 0.0)) / 2

    @property
    def box(self) -> tuple[float, float]:
        """Width and height of one of its boxes, in staff spaces."""
        hand = HANDS[self.size]
        if max(self.stacks.values()) > 1:
            return stacked_box(self.asks, hand)
        width = hand.width(self.wide) / hand.space
        return width, _PRINTED if self.printed else hand.height(self.lines) / hand.space

    def height(self, column: int) -> float:
        """The height of the stack in ``column``, in staff spaces."""
        count = self.stacks[column]
        return count * self.box[1] + (count - 1) * design.STACK_GAP


def stacked_box(asks: str, hand: Hand) -> tuple[float, float]:
    """Width and height of one of several boxes, one above the other, in staff spaces."""
    width = KINDS[asks].stacked
    if width is None:
        raise ValueError(f'"{asks}" has no stacked box')
    middle = HANDS["middle"]
    # a square box is of the hand, a wider one of what is printed in it
    share = hand.stack / middle.stack if width <= middle.stack else hand.answer / middle.answer
    return width * share * MM / hand.space, hand.stack * MM / hand.space


def boxes_at_ends(exercise: Exercise, size: str) -> dict[int, BoxRow]:
    """The boxes that stand at the ends of staves, by their columns, for the hand ``size``."""
    return {
        blank.column: BoxRow(
            blank.asks, blank.hand, False, {blank.column: 1}, *KINDS[blank.asks].box(), size=size
        )
        for blank in exercise.blanks
        if KINDS[blank.asks].row == "end"
    }


def box_rows(exercise: Exercise, size: str = design.DEFAULT_HAND) -> tuple[BoxRow, ...]:
    """The rows of an exercise from the top of the page down, for the hand ``size``.

    Boxes at the ends of staves are in no row.
    """
    return exercise.once(_box_rows, size)


def _box_rows(exercise: Exercise, size: str) -> tuple[BoxRow, ...]:
    found: dict[tuple[str, str], dict[int, int]] = {}
    for blank in exercise.blanks:
        if blank.asks in DRAWN or KINDS[blank.asks].row == "end":
            continue
        stacks = found.setdefault((blank.asks, blank.hand), {})
        stacks[blank.column] = max(stacks.get(blank.column, 0), (blank.note or 0) + 1)
    answers: dict[tuple[str, str], list[str]] = {}
    for blank in exercise.blanks:
        answers.setdefault((blank.asks, blank.hand), []).append(blank.answer)
    asked = {
        (blank.asks, blank.hand) for blank in exercise.blanks if exercise.faded or not blank.given
    }
    # where both staves have the row, each has it at its own side: the right hand above
    built = [
        BoxRow(
            asks,
            hand,
            _is_above(asks, hand) or (hand == "right" and (asks, "left") in found),
            stacks,
            *KINDS[asks].box(answers[asks, hand]),
            (asks, hand) not in asked,
            size,
        )
        for (asks, hand), stacks in found.items()
    ]
    above = sorted(
        (row for row in built if row.above),
        key=lambda row: _ABOVE.get(KINDS[row.asks].row, 1),
    )
    below = sorted(
        (row for row in built if not row.above), key=lambda row: KINDS[row.asks].row != "next"
    )
    return (*above, *below)


def _is_above(asks: str, hand: str) -> bool:
    row = KINDS[asks].row
    return row == "top" or (row in _ABOVE and hand == "right")


def box(
    blank: Blank, cell: tuple[float, float, float, float], size: str = design.DEFAULT_HAND
) -> tuple[float, ...]:
    """The rectangle of a blank's box within ``cell``, the rectangle of its stack.

    ``cell`` is (x0, y0, x1, y1), in any unit, with y upwards; the lowest note has the lowest
    box.
    """
    if blank.note is None:
        return cell
    x0, y0, x1, _ = cell
    width, height = stacked_box(blank.asks, HANDS[size])
    scale = (x1 - x0) / width
    low = y0 + blank.note * (height + design.STACK_GAP) * scale
    return (x0, low, x1, low + height * scale)
