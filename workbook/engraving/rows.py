"""The rows of boxes round the staves: which there are, in what order, how large.

In: an exercise. Out: rows from top to bottom. All sizes are in staff spaces (one is
1.76 mm at normal size); those of boxes are declared in ``exercises.answers`` and by families.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Blank, Exercise, Slot

LONG = 4
"""The most characters of an answer in an ordinary box; a row with a longer one has wide ones."""
_PRINTED = 2.8
"""The height of a row in which everything is printed and nothing is written, in staff spaces."""
STACK_GAP = 0.55
"""The gap between boxes of one stack, in staff spaces."""

NOTE_ROOM, NOTE_REACH = 7.0, 4.5
"""The space for a note to be written: its width, and how far it reaches above and below the
middle line of the staff (two ledger lines), in staff spaces."""
SIGNATURE_ROOM = 10.0
"""The width for a key signature to be written, whatever its size, in staff spaces."""
_SIGN, _SIGN_GAP = 1.32, 1.2
"""The most width that a sign of a signature takes, and the gap between the last sign and the
space that is left, in staff spaces (measured on what LilyPond draws)."""

_ABOVE = {"top": 0, "above": 1, "next": 2}
"""Rows above a staff from the top down, by ``AnswerKind.row``."""
ALIGN = {"cadence": 0.85}
"""Where in the width of a box its note is, from -1 (left) to 1; 0 if not listed. The box for a
cadence reaches back to the chord before."""


@dataclass(frozen=True)
class BoxRow:
    """Boxes on one line, ``above`` or below the staff of ``hand``.

    ``stacks`` maps a column to the number of boxes there; ``long`` means that an answer needs
    a wide box, ``printed`` that nothing is to be written.
    """

    asks: str
    hand: str
    above: bool
    stacks: dict[int, int]
    long: bool = False
    printed: bool = False

    @property
    def name(self) -> str:
        return f"{self.asks}.{self.hand}"

    def slot(self, column: int) -> Slot:
        """The row's slot in ``column``."""
        return Slot(self.asks, self.hand, column)

    @property
    def box(self) -> tuple[float, float]:
        """Width and height of one of its boxes."""
        kind = KINDS[self.asks]
        if max(self.stacks.values()) > 1:
            return kind.box(stacked=True)
        wide, high = kind.box(long=self.long)
        return wide, _PRINTED if self.printed else high

    def height(self, column: int) -> float:
        """The height of the stack in ``column``, in staff spaces."""
        count = self.stacks[column]
        return count * self.box[1] + (count - 1) * STACK_GAP


def box_rows(exercise: Exercise) -> tuple[BoxRow, ...]:
    """The rows of an exercise from the top of the page down."""
    found: dict[tuple[str, str], dict[int, int]] = {}
    for blank in exercise.blanks:
        if blank.asks in DRAWN:
            continue
        stacks = found.setdefault((blank.asks, blank.hand), {})
        stacks[blank.column] = max(stacks.get(blank.column, 0), (blank.note or 0) + 1)
    long = {(blank.asks, blank.hand) for blank in exercise.blanks if len(blank.answer) > LONG}
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
            (asks, hand) in long,
            (asks, hand) not in asked,
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


def box(blank: Blank, cell: tuple[float, float, float, float]) -> tuple[float, ...]:
    """The rectangle of a blank's box within ``cell``, the rectangle of its stack.

    ``cell`` is (x0, y0, x1, y1), in any unit, with y upwards; the lowest note has the lowest
    box.
    """
    if blank.note is None:
        return cell
    x0, y0, x1, _ = cell
    width, height = KINDS[blank.asks].box(stacked=True)
    scale = (x1 - x0) / width
    low = y0 + blank.note * (height + STACK_GAP) * scale
    return (x0, low, x1, low + height * scale)


def signature_place(cell: tuple[float, float, float, float], space: float) -> tuple[float, ...]:
    """Where a signature is written; ``cell`` is the space kept to its right, ``space`` one staff
    space in the same unit.
    """
    signs = round(SIGNATURE_ROOM - (cell[2] - cell[0]) / space)
    reach = _SIGN * signs + _SIGN_GAP if signs else 0.0
    return (cell[0] - reach * space, *cell[1:])
