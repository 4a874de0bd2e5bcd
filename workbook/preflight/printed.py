"""What a reader sees of a finished page: lines of text, margins, ink.

In: a page as pdfium reads it, and the rules that it draws. Out: lines of text with both their
ends, the page's margins, and where ink stands. All measures are in points from the page's
lower left corner.
"""

from __future__ import annotations

import ctypes
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import pypdfium2.raw as pdfium
from pypdfium2 import PdfPage

from workbook import design
from workbook.pages.paper import Paper
from workbook.pdf.content import PageContent

_JOINED = 0.6
"""The most space between two pieces of one line, in font sizes."""
_PALE = 215
"""Grey level of 255: a darker pixel is ink; the tint of what is given is not."""
_HAIR = 0.5
_SMALLEST, _LARGEST = 20.0, 3000.0
"""Points: a page narrower or larger than this is none that a build wrote."""


class Line(NamedTuple):
    """A line of text from ``x0`` to ``x1`` on the baseline ``y``, set in ``size`` points."""

    x0: float
    x1: float
    y: float
    size: float
    text: str


@dataclass
class Printed:
    """A page: its lines of text from top to bottom, its rows of ink, its margins.

    ``ink`` has the height of each row of pixels with ink, from the foot up. The body of the
    page lies between ``bottom`` and ``top``, ``left`` and ``right``.
    """

    lines: list[Line]
    ink: list[float]
    left: float
    right: float
    top: float
    bottom: float
    scale: float

    @cached_property
    def body(self) -> list[Line]:
        """The lines above the footer."""
        return [line for line in self.lines if line.y > self.bottom - design.BODY_TO_FOOT / 2]

    def lowest(self, top: float, bottom: float = 0.0) -> float:
        """The lowest ink between two heights; ``top`` if there is none."""
        first = bisect_right(self.ink, max(bottom, self.bottom - 6 * self.scale))
        return self.ink[first] if first < bisect_left(self.ink, top) else top


def printed(page: PdfPage, drawn: PageContent, paper: Paper) -> Printed | None:
    """What is printed on ``page``; None for one that no build wrote."""
    if not all(_SMALLEST < length < _LARGEST for length in page.get_size()):
        return None
    left, right = _margins(drawn, paper)
    return Printed(
        list(_lines(page)),
        _ink(page),
        left,
        right,
        paper.top * paper.scale,
        paper.bottom * paper.scale,
        paper.scale,
    )


def _margins(drawn: PageContent, paper: Paper) -> tuple[float, float]:
    """The ends of the footer's rule: pages that are punched are moved."""
    low = (paper.foot + 13) * paper.scale
    for x0, y0, x1, y1 in drawn.lines:
        if abs(y0 - low) < _HAIR and abs(y1 - low) < _HAIR:
            return x0, x1
    return paper.left * paper.scale, paper.right * paper.scale


def _ink(page: PdfPage) -> list[float]:
    """The heights of the rows of points that have ink, from the foot up."""
    picture = page.render(scale=1, grayscale=True).to_pil()
    dark = picture.point([255 * (value < _PALE) for value in range(256)])
    _, rows = dark.getprojection()
    return [float(picture.height - row - 1) for row in reversed(range(len(rows))) if rows[row]]


def _lines(page: PdfPage) -> Iterator[Line]:
    """The pieces of text on a page, those on one baseline joined where they touch."""
    pieces = sorted(_pieces(page), key=lambda piece: (-round(piece.y, 1), piece.x0))
    before: Line | None = None
    for piece in pieces:
        if before and _continues(before, piece):
            gap = " " * (piece.x0 - before.x1 > 0.15 * piece.size)
            before = before._replace(x1=piece.x1, text=f"{before.text}{gap}{piece.text}")
            continue
        if before:
            yield _tidy(before)
        before = piece
    if before:
        yield _tidy(before)


def _tidy(line: Line) -> Line:
    """The line with single spaces between its words."""
    return line._replace(text=" ".join(line.text.split()))


def _continues(before: Line, piece: Line) -> bool:
    return (
        abs(before.y - piece.y) < 0.1
        and abs(before.size - piece.size) < 0.1
        and -piece.size < piece.x0 - before.x1 < _JOINED * piece.size
    )


def _pieces(page: PdfPage) -> Iterator[Line]:
    """What the page itself shows of text, pictures of music left out."""
    textpage = page.get_textpage()
    for index in range(pdfium.FPDFPage_CountObjects(page)):
        one = pdfium.FPDFPage_GetObject(page, index)
        if pdfium.FPDFPageObj_GetType(one) != pdfium.FPDF_PAGEOBJ_TEXT:
            continue
        if pdfium.FPDFTextObj_GetTextRenderMode(one) == pdfium.FPDF_TEXTRENDERMODE_INVISIBLE:
            continue
        text = _text(one, textpage)
        if text.strip():
            x0, _, x1, _ = _floats(4, pdfium.FPDFPageObj_GetBounds, one)
            (size,) = _floats(1, pdfium.FPDFTextObj_GetFontSize, one)
            matrix = pdfium.FS_MATRIX()
            pdfium.FPDFPageObj_GetMatrix(one, matrix)
            yield Line(x0, x1, matrix.f, size * abs(matrix.d), text)


def _floats(count: int, call: Callable[..., object], one: object) -> list[float]:
    found = [ctypes.c_float() for _ in range(count)]
    call(one, *found)
    return [each.value for each in found]


def _text(one: object, textpage: object) -> str:
    length = pdfium.FPDFTextObj_GetText(one, textpage, None, 0)
    buffer = (ctypes.c_ushort * (length // 2 + 1))()
    pdfium.FPDFTextObj_GetText(one, textpage, buffer, length)
    return bytes(buffer).decode("utf-16-le", "replace").rstrip("\0")


def paragraphs(lines: Sequence[Line]) -> Iterator[list[Line]]:
    """Lines that follow each other at the leading of running text, from one left edge."""
    columns: dict[tuple[int, int], list[Line]] = {}
    for line in lines:
        columns.setdefault((round(line.x0), round(10 * line.size)), []).append(line)
    for column in columns.values():
        found = column[:1]
        for above, below in pairwise(column):
            if abs(above.y - below.y - design.LEADING * below.size) < 0.05 * below.size:
                found.append(below)
                continue
            yield found
            found = [below]
        yield found
