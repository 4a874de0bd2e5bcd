"""What the pages of a workbook draw, read back from their content streams.

In: the bytes of a PDF that ``pages.render`` wrote. Out: for each page its size
and where forms, boxes, lines and words are, in points from the lower left
corner. The streams must have one operation, or one text object, on a line, as they are
written; they are read in a tenth of the time that a parser of any stream takes. See ISO
32000-1, 8.3 (coordinates), 9.4 (text), 9.10.3 (the characters of a font's codes); the numbers are
from memory. What is read are the characters that are shown, also where a stretch of text
declares another spelling.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

import pikepdf

from workbook.pdf.finished import opened
from workbook.pdf.limits import unfolded
from workbook.pdf.printable_pdf import box, inherited
from workbook.pdf.syntax import Key, decoded

Point = tuple[float, float]
Rect = tuple[float, float, float, float]
Matrix = tuple[float, float, float, float, float, float]

_TEXT = re.compile(rb"1 0 0 1 (\S++) (\S++) Tm (?:/(\S++) \S++ Tf )?\(([^)]*+)\) Tj")
"""A text in one piece, from where it begins."""
_STEP = re.compile(rb"1 0 0 1 (\S++) (\S++) Tm|/(\S++) \S++ Tf|\(([^)]*+)\) Tj")
"""A step of any text: to where it begins, to a font, or some characters. A parenthesis within a
string is written as its code."""
_BOX = re.compile(rb"\nq 1 0 0 1 (\S++) (\S++) cm (/\S++) Do Q")
"""A box, with its place and the name of its form."""
_FORM = re.compile(rb" (/\S++) Do Q")
_BOXES = re.compile(
    rb"\nq 1 0 0 1 \S++ \S++ cm /\S++ Do Q(?:\nq 1 0 0 1 \S++ \S++ cm /\S++ Do Q)*+\n"
)
"""A run of boxes, from the end of the line before it."""
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_CONTROL = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_new = tuple.__new__  # what a named tuple does, without its function
_PAIR = re.compile(rb"<([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)>\s*\n")


class Words(NamedTuple):
    """A piece of text and where its baseline begins."""

    at: Point
    text: str


@dataclass
class PageContent:
    """What one page draws, in the order of drawing.

    ``size`` is (width, height); ``forms`` are Form XObjects by name with their matrix;
    ``boxes`` are rectangles stroked with S (x0, y0, x1, y1), on the page or each in a form;
    ``lines`` are stroked lines.
    """

    size: Point
    forms: list[tuple[str, Matrix]] = field(default_factory=list)
    boxes: list[Rect] = field(default_factory=list)
    lines: list[Rect] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def stroked(self, operator: bytes, corners: Rect) -> None:
        """Add what a stroked path is: a box that is closed (re, h), or a line (l)."""
        if operator in (b"re", b"h"):
            self.boxes.append(corners)
        elif operator == b"l":
            self.lines.append(corners)


def read_pages(data: bytes) -> list[PageContent]:
    """The pages of a PDF. Raises Unreadable."""
    with opened(data) as pdf:
        fonts: dict[Key, _Font] = {}
        shapes: dict[Key, Rect] = {}
        return [_page_content(page, fonts, shapes) for page in pdf.pages]


def _page_content(
    page: pikepdf.Page, fonts: dict[Key, _Font], shapes: dict[Key, Rect]
) -> PageContent:
    """What ``page`` draws; ``fonts`` and ``shapes`` are those of the file that have been read."""
    x0, y0, x1, y1 = box(_needed(page, "/MediaBox"))
    named = {}
    resources = _needed(page, "/Resources")
    for name, font in resources.get("/Font", pikepdf.Dictionary()).items():
        key = font.objgen
        if key not in fonts:
            fonts[key] = _font(unfolded(font.ToUnicode))
        named[name[1:].encode()] = fonts[key]
    content = page.obj.get("/Contents")
    boxes = _Boxes(resources.get("/XObject", pikepdf.Dictionary()), shapes)
    stream = b"" if content is None else decoded(content)
    return _drawn((x1 - x0, y1 - y0), stream, named, boxes)


def _needed(page: pikepdf.Page, key: str) -> pikepdf.Object:
    value = inherited(page, key)
    if value is None:
        raise ValueError(f"a page without {key}")
    return value


class _Boxes(dict[bytes, Rect]):
    """The boxes that the Form XObjects ``forms`` of a page draw, by their names.

    ``shapes`` has those of the file that have been read.
    """

    def __init__(self, forms: pikepdf.Object, shapes: dict[Key, Rect]):
        super().__init__()
        self._forms, self._shapes = forms, shapes

    def __missing__(self, name: bytes) -> Rect:
        form = self._forms[name.decode()]
        if form.objgen not in self._shapes:
            _, self._shapes[form.objgen] = _stroked(decoded(form).strip(), _AS_IT_IS)
        self[name] = self._shapes[form.objgen]
        return self[name]


def _drawn(size: Point, stream: bytes, fonts: dict[bytes, _Font], forms: _Boxes) -> PageContent:
    found = PageContent(size)
    matrix: Matrix = _AS_IT_IS
    kept: list[Matrix] = []
    for line in _other_lines(stream, found, forms):
        end = line[-2:]
        if end == b" S":
            found.stroked(*_stroked(line, matrix))
        elif line == b"q":
            kept.append(matrix)
        elif line == b"Q":
            matrix = kept.pop()
        elif end == b"cm":
            a, b, c, d, e, f = map(float, line.split()[:-1])
            matrix = _times((a, b, c, d, e, f), matrix)
            if matrix == _AS_IT_IS:
                matrix = _AS_IT_IS
        elif end == b"Do":
            found.forms.append((line.split()[0].decode(), _rounded(matrix)))
        elif end == b"ET":
            found.words += _words(line, matrix, fonts)
    return found


def _other_lines(stream: bytes, found: PageContent, forms: _Boxes) -> Iterator[bytes]:
    """The lines of a stream that draw no box; the boxes are added to ``found``."""
    at = 0
    for boxes in _BOXES.finditer(stream):
        yield from map(bytes.rstrip, stream[at : boxes.start()].split(b"\n"))
        drawn = boxes[0]
        names = set(_FORM.findall(drawn))
        found.boxes += _placed(drawn, tuple((name, forms[name]) for name in names))
        at = boxes.end()
    yield from map(bytes.rstrip, stream[at:].split(b"\n"))


@lru_cache(maxsize=128)
def _placed(boxes: bytes, forms: tuple[tuple[bytes, Rect], ...]) -> list[Rect]:
    """A run of boxes; ``forms`` has what their forms draw.

    Kept, for the answer key has the same boxes as the workbook.
    """
    shapes = dict(forms)
    found = []
    for right, up, name in _BOX.findall(boxes):
        x, y = float(right), float(up)
        x0, y0, x1, y1 = shapes[name]
        found.append((x + x0, y + y0, x + x1, y + y1))
    return found


@lru_cache(maxsize=512)
def _stroked(line: bytes, matrix: Matrix) -> tuple[bytes, Rect]:
    """What an operation strokes, a rectangle (re; h with round corners) or a line (l), and its
    corners.

    Kept, for the answer key strokes what the workbook does.
    """
    words = line.split()
    operator = words[-2]
    if operator == b"re":
        x, y, width, height = map(float, words[1:5])
        corner = round(x + width, 3), round(y + height, 3)
    elif operator == b"h":
        # as ``pages.render`` writes it: the points at which the edges meet the corners
        x, y = float(words[29]), float(words[2])
        corner = float(words[9]), float(words[20])
    else:
        x, y, x1, y1 = map(float, (*words[1:3], *words[4:-2]))
        corner = x1, y1
    if matrix is _AS_IT_IS:
        return operator, (x, y, *corner)
    return operator, (*_at(matrix, x, y), *_at(matrix, *corner))


def _words(line: bytes, matrix: Matrix, fonts: dict[bytes, _Font]) -> list[Words]:
    """The words of a text object: what is shown from one origin to the next."""
    pieces = _TEXT.findall(line)
    if len(pieces) == line.count(b") Tj") and matrix is _AS_IT_IS:
        return _plain_words(pieces, fonts)
    found: list[Words] = []
    font, where, moved = _NO_FONT, (0.0, 0.0), True
    for x, y, name, codes in _STEP.findall(line):
        if x:
            where, moved = (float(x), float(y)), True
        elif name:
            font = fonts[name]
        elif moved:
            found.append(_new(Words, (where, font[codes])))
            moved = False
        else:
            at, text = found[-1]
            found[-1] = _new(Words, (at, text + font[codes]))
    if matrix != _AS_IT_IS:
        found = [Words(_at(matrix, x, y), text) for (x, y), text in found]
    return [words for words in found if words[1]]


def _plain_words(
    pieces: list[tuple[bytes, bytes, bytes, bytes]], fonts: dict[bytes, _Font]
) -> list[Words]:
    """The words of texts that are in one piece each."""
    found, font = [], _NO_FONT
    for x, y, name, codes in pieces:
        if name:
            font = fonts[name]
        if text := font[codes]:
            found.append(_new(Words, ((float(x), float(y)), text)))
    return found


class _Characters(dict[int, str]):
    """The characters of a font by their codes; an unknown code is the replacement character."""

    def __missing__(self, code: int) -> str:
        return "\ufffd"


class _Font(dict[bytes, str]):
    """The text of each literal string, without its parentheses, in one font.

    ``table`` is the font's ToUnicode map.
    """

    _most = 4096
    """Strings that are kept, for files have many in common."""

    def __init__(self, table: bytes):
        super().__init__()
        self._characters = _Characters(
            (int(code, 16), bytes.fromhex(text.decode()).decode("utf-16-be"))
            for code, text in _PAIR.findall(table.partition(b"beginbfchar")[2])
        )

    def __missing__(self, codes: bytes) -> str:
        text = _string(codes).decode("latin-1").translate(self._characters)
        if len(self) >= self._most:
            self.clear()
        self[codes] = text
        return text


@lru_cache(maxsize=16)
def _font(table: bytes) -> _Font:
    return _Font(table)


_NO_FONT = _Font(b"")
_AS_IT_IS: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def _times(m: Matrix, n: Matrix) -> Matrix:
    a, b, c, d, e, f = m
    g, h, i, j, x, y = n
    return (
        a * g + b * i,
        a * h + b * j,
        c * g + d * i,
        c * h + d * j,
        e * g + f * i + x,
        e * h + f * j + y,
    )


def _at(matrix: Matrix, x: float, y: float) -> Point:
    if matrix == _AS_IT_IS:
        return x, y
    a, b, c, d, e, f = matrix
    return round(a * x + c * y + e, 3), round(b * x + d * y + f, 3)


def _rounded(matrix: Matrix) -> Matrix:
    a, b, c, d, e, f = [round(value, 3) for value in matrix]
    return a, b, c, d, e, f


def _string(shown: bytes) -> bytes:
    """The bytes of a literal string between its parentheses (ISO 32000-1, 7.3.4.2)."""
    return _ESCAPE.sub(lambda found: _ESCAPES[found[1]], shown) if b"\\" in shown else shown


class _Escapes(dict[bytes, bytes]):
    """The byte that each escape stands for, without its backslash."""

    def __missing__(self, escape: bytes) -> bytes:
        octal = escape[:1].isdigit()
        self[escape] = bytes([int(escape, 8) & 255]) if octal else _CONTROL.get(escape, escape)
        return self[escape]


_ESCAPES = _Escapes()
