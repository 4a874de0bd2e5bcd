"""Figures in place of staves: a drawn keyboard, the circle of fifths, rows of boxes. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

from workbook.music.pitch import Pitch


@dataclass(frozen=True)
class Keyboard:
    """Piano keys from ``low`` to ``high`` (white keys, inclusive).

    ``marked`` keys have a dot in the workbook, and blanks ``note.right.N`` in their
    order from the left stand beneath; ``shaded`` are the keys that the student
    shades, drawn on the answer key alone; ``shown`` are shaded everywhere.
    """

    low: Pitch
    high: Pitch
    marked: tuple[Pitch, ...] = ()
    shaded: tuple[Pitch, ...] = ()
    shown: tuple[Pitch, ...] = ()


@dataclass(frozen=True)
class Circle:
    """The circle of fifths: twelve places clockwise from the top.

    Each has a blank ``outer`` (column 0 to 11) and a blank ``inner`` in it.
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
    """Rows of boxes, in each one box of every kind from left to right.

    A box's column in its blank is the row, from 0 at the top.
    """

    kinds: tuple[str, ...]
    rows: int


Figure = Keyboard | Circle | Boxes | Grid
