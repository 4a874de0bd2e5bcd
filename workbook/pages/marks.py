"""The marks that make a page: text, rules, pictures, boxes, outline entries. Points throughout.

The origin is the page's lower left corner.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from workbook.engraving.snippet import Rect, Snippet
from workbook.exercises.model import Blank


@dataclass(frozen=True)
class Text:
    """Words on a baseline; ``only`` names the face that prints them, empty for both."""

    x: float
    y: float
    text: str
    face: str = "regular"
    size: float = 10.5
    align: str = "left"
    only: str = ""


@dataclass(frozen=True)
class Rule:
    """A straight line."""

    x0: float
    y0: float
    x1: float
    y1: float
    width: float = 0.6


@dataclass(frozen=True)
class Picture:
    """A snippet with its lower left corner at (x, y)."""

    x: float
    y: float
    snippet: Snippet


@dataclass(frozen=True)
class Box:
    """A blank at its place; ``number`` is its item."""

    rect: Rect
    blank: Blank
    number: int


@dataclass(frozen=True)
class Entry:
    """An entry of the PDF's outline that leads to height ``y``."""

    text: str
    y: float


Mark = Text | Rule | Picture | Box | Entry


@dataclass
class Sheet:
    """One page: its marks in the order of drawing."""

    marks: list[Mark] = field(default_factory=list)

    @property
    def boxes(self) -> list[Box]:
        return [mark for mark in self.marks if isinstance(mark, Box)]


def lowered(mark: Mark, by: float) -> Mark:
    """``mark`` moved down by so many points."""
    if isinstance(mark, Rule):
        return replace(mark, y0=mark.y0 - by, y1=mark.y1 - by)
    if isinstance(mark, Box):
        x0, y0, x1, y1 = mark.rect
        return replace(mark, rect=(x0, y0 - by, x1, y1 - by))
    return replace(mark, y=mark.y - by)
