"""Figures in place of staves: keyboards, the circle of fifths, rows of boxes. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

from workbook.music.pitch import Pitch


@dataclass(frozen=True)
class Keyboard:
    """Piano keys from ``low`` to ``high``, both white keys and included.

    ``marked`` keys have a dot, and beneath them stand blanks ``note.right.N`` in their order
    from the left. ``shaded`` keys are those that the student shades, drawn on the answer
    key only; ``shown`` keys are shaded everywhere.
    """

    low: Pitch
    high: Pitch
    marked: tuple[Pitch, ...] = ()
    shaded: tuple[Pitch, ...] = ()
    shown: tuple[Pitch, ...] = ()


@dataclass(frozen=True)
class Circle:
    """The circle of fifths: twelve hours clockwise from the top.

    Each is a column, 0 to 11, with a blank that asks ``outer`` and one that asks ``inner``.
    """

    outer: str = "major"
    inner: str = "minor"


@dataclass(frozen=True)
class Boxes:
    """A row of ``count`` boxes of one kind, columns 0 to ``count - 1``."""

    asks: str
    count: int


@dataclass(frozen=True)
class Grid:
    """Rows of boxes, each with a box of every kind from left to right.

    The column of a blank is its row, 0 at the top. Up to ``across`` rows stand beside one
    another, as many as there is room for, and then those below them.
    """

    kinds: tuple[str, ...]
    rows: int
    across: int = 1


Figure = Keyboard | Circle | Boxes | Grid
