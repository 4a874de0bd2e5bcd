"""The boxes to write in as Form XObjects: each shape is stored once per file, and placed.

In: boxes with their rectangles, in points. Out: PDF operators, one box on a line, and the
shapes that they need (ISO 32000-1, 8.10). ``pdf.content`` reads them back.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from reportlab.pdfbase.pdfdoc import xObjectName

from workbook.engraving.snippet import Rect
from workbook.pages.elements import Box
from workbook.typesetting.pdf_syntax import number

_ARC = 0.5523
"""The handles of a quarter of a circle, in radii."""
_new = tuple.__new__  # what a named tuple does, without its function
_EDGE = 1.0
"""Points around a shape within its form: more than half of any line's width."""


class Shape(NamedTuple):
    """A box with its lower left corner at (0, 0): width, height and radius of its corners.

    They are hundredths of a point, so that boxes of one size share a form.
    """

    width: int
    height: int
    radius: int

    @property
    def name(self) -> str:
        """The name of its form in reportlab's documents."""
        return f"box-{self.width}-{self.height}-{self.radius}"

    @property
    def bounds(self) -> Rect:
        """The bounding box of its form, in points."""
        width, height = self.width / 100, self.height / 100
        return -_EDGE, -_EDGE, width + _EDGE, height + _EDGE

    def content(self) -> bytes:
        """What its form draws, compressed: the outline, in the colour and line of the page."""
        rect = 0.0, 0.0, self.width / 100, self.height / 100
        return zlib.compress(rounded(rect, self.radius / 100, "S").encode())


def shape(box: Box) -> Shape:
    """The shape of a box."""
    x0, y0, x1, y1 = box.rect
    return _new(Shape, (round(100 * (x1 - x0)), round(100 * (y1 - y0)), round(100 * box.corner)))


def placed(boxes: Iterable[tuple[Box, Shape]]) -> list[tuple[float, str]]:
    """The operators that draw each box, with the width of its line."""
    return [
        (
            box.line,
            f"q 1 0 0 1 {number(box.rect[0])} {number(box.rect[1])} cm /{_named(one)} Do Q",
        )
        for box, one in boxes
    ]


@lru_cache(maxsize=4096)
def _named(one: Shape) -> str:
    return str(xObjectName(one.name))


def rounded(rect: Rect, radius: float, paint: str) -> str:
    """The path of a rectangle with round corners, painted by the operator ``paint``."""
    x0, y0, x1, y1 = rect
    if not radius:
        return f"{number(x0)} {number(y0)} {number(x1 - x0)} {number(y1 - y0)} re {paint}"
    reach = radius * (1 - _ARC)
    # from the outside in: the edge, the end of a handle, the end of the corner
    a, b, c = number(x0), number(x0 + reach), number(x0 + radius)
    f, e, d = number(x1), number(x1 - reach), number(x1 - radius)
    k, m, n = number(y0), number(y0 + reach), number(y0 + radius)
    r, q, p = number(y1), number(y1 - reach), number(y1 - radius)
    return (
        f"n {c} {k} m {d} {k} l {e} {k} {f} {m} {f} {n} c {f} {p} l {f} {q} {e} {r} {d} {r} c "
        f"{c} {r} l {b} {r} {a} {q} {a} {p} c {a} {n} l {a} {m} {b} {k} {c} {k} c h {paint}"
    )
