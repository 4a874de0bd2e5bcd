"""The rows of boxes round the staves: which there are, in what order, how large.

In: an exercise. Out: rows from top to bottom. All sizes are in staff spaces (one is
1.76 mm at normal size); those of boxes are declared in ``exercises.answers`` and by families.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Blank, Exercise

LONG = 4
"""Characters of an answer that a common box holds; a row with a longer one has wide boxes."""
_PRINTED = 2.8
"""Staff spaces: the height of a row in which all is printed, so that nothing is written."""
STACK_GAP = 0.55
"""Between boxes of one stack, in staff spaces."""

NOTE_ROOM, NOTE_REACH = 7.0, 4.5
"""The room for a note to be written: its width, and how far above and below the
staff's middle line it reaches (two ledger lines), in staff spaces."""
SIGNATURE_ROOM = 10.0
"""Staff spaces that a key signature to be written has, whatever its size."""
_SIGN, _SIGN_GAP = 1.32, 1.2
"""Staff spaces that a sign of a signature takes at most, and between the last and the
room that is left (measured on what LilyPond draws)."""

_ABOVE = {"top": 0, "above": 1, "next": 2}
"""Rows above a staff from the top down, by ``AnswerKind.row``."""
ALIGN = {"cadence": 0.85}
"""Where in the width of a box its note stands, -1 (left) to 1: 0 if not listed. The box for
a cadence reaches back to the chord before."""


@dataclass(frozen=True)
class Row:
    """Boxes on one line: ``above`` or below the staff of ``hand``.

    ``stacks`` maps a column to the number of boxes there; ``long`` tells that an
    answer needs a wide box, ``printed`` that nothing is to be written.
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


def rows(exercise: Exercise) -> tuple[Row, ...]:
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
    # a row that both staves have stands at its own staff: above the right hand's
    built = [
        Row(
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
        (row for row in reversed(built) if row.above),
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
    """The blank's rectangle within the rectangle of its stack, in the units of ``cell``.

    ``cell`` is (x0, y0, x1, y1) with y upwards; the lowest note has the lowest box.
    """
    if blank.note is None:
        return cell
    x0, y0, x1, _ = cell
    width, height = KINDS[blank.asks].box(stacked=True)
    scale = (x1 - x0) / width
    low = y0 + blank.note * (height + STACK_GAP) * scale
    return (x0, low, x1, low + height * scale)


def signature_place(cell: tuple[float, float, float, float], space: float) -> tuple[float, ...]:
    """Where a signature is written: ``cell`` is the room to its right, ``space`` a staff space."""
    signs = round(SIGNATURE_ROOM - (cell[2] - cell[0]) / space)
    reach = _SIGN * signs + _SIGN_GAP if signs else 0.0
    return (cell[0] - reach * space, *cell[1:])
