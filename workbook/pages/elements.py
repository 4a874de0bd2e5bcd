"""The elements of a page: text, rules, pictures, boxes, outline entries; and how it is read.

Elements stand in reading order. A ``Start`` among them says to which part of the document what
follows belongs, up to the next one. All measures are in points from the page's lower left corner.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from workbook.engraving.snippet import Rect, Snippet
from workbook.exercises.model import Blank
from workbook.typesetting.figured import Grammar

_new = tuple.__new__
"""Makes a named tuple without its function: pages move thousands of elements."""


@dataclass(frozen=True, eq=False, slots=True)
class Group:
    """A part of a document that holds others: a section, an exercise, a row of a table.

    ``role`` is a structure type (``pdf.structure.ROLES``). ``told`` gives the text in place of
    a figure, without or with the answers. ``title`` names an exercise by its number.
    """

    role: str
    within: Group | None = None
    told: Callable[[bool], str] | None = None
    title: str = ""


DOCUMENT = Group("Document")
ARTIFACT = Group("Artifact")
"""What is no part of the text: footers, lines, what is repeated overleaf."""


class Start(NamedTuple):
    """What follows belongs to ``group``: to a new part of it with a ``role``, if that is given.

    The same ``Start`` again continues the same part. ``scope`` is that of a table's heading
    cell, and ``rows`` the number of rows that a cell spans. ``alt`` is read instead of the part.
    """

    group: Group
    role: str = ""
    scope: Literal["", "Row", "Column"] = ""
    alt: str = ""
    rows: int = 1

    def moved(self, x: float, y: float) -> Start:  # noqa: ARG002  # as the other elements
        return self

    def enlarged(self, by: float) -> Start:  # noqa: ARG002  # as the other elements
        return self


class Text(NamedTuple):
    """Text on a baseline. ``only`` names the one face that prints it; "" means both.

    ``white`` text is on black.
    ``grammar`` says how numerals and chord symbols in it are read (``typesetting.figured``).
    """

    x: float
    y: float
    text: str
    face: str = "regular"
    size: float = 10.5
    align: str = "left"
    only: str = ""
    grammar: Grammar = ""
    white: bool = False

    def moved(self, x: float, y: float) -> Text:
        return _new(Text, (self[0] + x, self[1] + y, *self[2:]))

    def enlarged(self, by: float) -> Text:
        return self._replace(x=self.x * by, y=self.y * by, size=self.size * by)


class Rule(NamedTuple):
    """A straight line."""

    x0: float
    y0: float
    x1: float
    y1: float
    width: float = 0.6

    def moved(self, x: float, y: float) -> Rule:
        return Rule(self.x0 + x, self.y0 + y, self.x1 + x, self.y1 + y, self.width)

    def enlarged(self, by: float) -> Rule:
        return Rule(self.x0 * by, self.y0 * by, self.x1 * by, self.y1 * by, self.width * by)


class Panel(NamedTuple):
    """A rectangle with round corners of ``radius``.

    ``fill`` is its grey from 0 to 1, or None; ``line`` is the width of its outline, 0 for none.
    """

    rect: Rect
    fill: float | None = None
    line: float = 0.0
    radius: float = 0.0

    def moved(self, x: float, y: float) -> Panel:
        x0, y0, x1, y1 = self.rect
        return Panel._make(((x0 + x, y0 + y, x1 + x, y1 + y), *self[1:]))

    def enlarged(self, by: float) -> Panel:
        x0, y0, x1, y1 = self.rect
        return Panel(
            (x0 * by, y0 * by, x1 * by, y1 * by), self.fill, self.line * by, self.radius * by
        )


class Picture(NamedTuple):
    """A snippet with its lower left corner at (x, y), enlarged ``scale`` times.

    ``band`` limits the drawing to the part of the snippet between two heights.
    ``number`` is the item's number.
    """

    x: float
    y: float
    snippet: Snippet
    scale: float = 1.0
    band: tuple[float, float] | None = None
    number: int = 0

    def moved(self, x: float, y: float) -> Picture:
        return _new(Picture, (self[0] + x, self[1] + y, *self[2:]))

    def enlarged(self, by: float) -> Picture:
        return self._replace(x=self.x * by, y=self.y * by, scale=self.scale * by)


class Box(NamedTuple):
    """A blank and its rectangle on the page.

    ``number`` is the item's number, ``size`` the font size of the answer. ``line`` is the
    width of the outline, ``corner`` the radius of its corners. A given blank is drawn as a
    tinted box if ``framed``, otherwise as its answer alone, which is ``flush`` with the left side
    or in the middle. The words of an answer are ``in_two`` lines if one is too short.
    """

    rect: Rect
    blank: Blank
    number: int
    size: float
    line: float = 0.65
    corner: float = 1.6
    framed: bool = True
    flush: bool = False
    in_two: bool = False

    def moved(self, x: float, y: float) -> Box:
        x0, y0, x1, y1 = self.rect
        return _new(Box, ((x0 + x, y0 + y, x1 + x, y1 + y), *self[1:]))

    def enlarged(self, by: float) -> Box:
        x0, y0, x1, y1 = self.rect
        return self._replace(
            rect=(x0 * by, y0 * by, x1 * by, y1 * by),
            size=self.size * by,
            line=self.line * by,
            corner=self.corner * by,
        )


class Entry(NamedTuple):
    """An entry of the PDF's outline that points to height ``y``."""

    text: str
    y: float

    def moved(self, x: float, y: float) -> Entry:  # noqa: ARG002  # as the other elements
        return self._replace(y=self.y + y)

    def enlarged(self, by: float) -> Entry:
        return self._replace(y=self.y * by)


Element = Start | Text | Rule | Panel | Picture | Box | Entry


@dataclass
class Page:
    """One page: its elements in reading order."""

    elements: list[Element] = field(default_factory=list)

    @property
    def boxes(self) -> list[Box]:
        return [element for element in self.elements if isinstance(element, Box)]


def table_row(table: Group) -> Group:
    """A new row of a table."""
    return Group("TR", table)


def scaled(element: Element, by: float, shift: float) -> Element:
    """``element`` enlarged ``by`` times, then moved right by ``shift`` points."""
    if by != 1.0:
        element = element.enlarged(by)
    return element.moved(shift, 0.0) if shift else element
