"""The two faces of an engraving: what is printed, and what the student is to write.

In: the drawing operators of a page that LilyPond drew, where what the student writes has
the colour PEN. Out: the operators of what is printed, those of what is written, and the
glyphs that they draw in place of text. What is printed is black or grey by itself, and not as a
mixture of red, green and blue, for which a print shop takes its four inks. What is written sets no
colour: the answer key chooses it. See ISO 32000-1, 8.2 (path and text objects), 8.6.8 (colour
operators) and 9.4 (text objects).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from workbook.engraving.glyphs import Fonts, Glyph, PdfDictionary

PEN = (0.52, 0.0, 0.08)
"""Red, green, blue: a dark red; printed in grey, it is darker than what is greyed out."""

_WORDS = re.compile(rb"\((?:\\.|[^\\)])*\)|<[0-9A-Fa-f\s]*>|\[|\]|[^\s\[\]<>()]+", re.DOTALL)
# a whole path with the operator that paints it, an operator after numbers, or else a word
_PARTS = re.compile(
    rb"((?:(?:-?[\d.]+\s+)*+(?:re|[mlcvyh])\s+)++)(f\*?|S)(?!\S)|"
    rb"((?:-?[\d.]+\s+)++)([a-zA-Z]+)(?!\S)|" + _WORDS.pattern,
    re.DOTALL,
)
_PAINTS = {b"f": "fill", b"f*": "fill", b"S": "stroke"}
_PATH = frozenset((b"m", b"l", b"c", b"v", b"y", b"h", b"re"))
_STATES = frozenset((b"q", b"Q", b"cm", b"w", b"J", b"d", b"M"))
_COLOURS = {b"rg": "fill", b"RG": "stroke"}
_GREYS = {b"rg": b"g", b"RG": b"G"}
_IGNORED = frozenset((b"gs", b"BT", b"ET"))


_PEN = " ".join(f"{value:g}" for value in PEN).encode()


@dataclass
class Faces:
    """What was read of a page: the operators of both faces, and the glyphs by name."""

    printed: list[bytes] = field(default_factory=list)
    written: list[bytes] = field(default_factory=list)
    glyphs: dict[str, Glyph] = field(default_factory=dict)


def read(content: bytes, page_fonts: Mapping[str, PdfDictionary], fonts: Fonts) -> Faces:
    """The faces of a page; ``page_fonts`` is its dictionary of fonts by name.

    Raises ValueError for an operator or a colour that LilyPond is not known to use.
    """
    page = _Page(page_fonts, fonts)
    operands: list[bytes] = []
    for match in _PARTS.finditer(content):
        path, paint, numbers, word = match.groups()
        if paint:
            page.paint(paint, [*operands, *path.split()])
            operands = []
            continue
        if word:
            operands += numbers.split()
        else:
            word = match[0]
        if word[:1] in b"([]</-." or word[:1].isdigit() or word in _PATH:
            operands.append(word)
            continue
        page.operate(word, operands)
        operands = []
    return page.faces


class _Page:
    """The operators of a page, each given to the face that it belongs to."""

    def __init__(self, page_fonts: Mapping[str, PdfDictionary], fonts: Fonts) -> None:
        self.faces = Faces()
        self._colour = {"fill": b"0 0 0", "stroke": b"0 0 0"}
        self._text = _Text(page_fonts, fonts, self.faces)
        self._joins = [b"0"]

    def paint(self, word: bytes, operands: list[bytes]) -> None:
        face = self._face(_PAINTS[word])
        # Cairo leaves the join of lines as the score before had it, so it is given only where
        # lines meet: a score is then the same in any company.
        if word == b"S" and _has_corner(operands):
            face.append(self._joins[-1] + b" j")
        face.append(b" ".join([*operands, word]))

    def operate(self, word: bytes, operands: list[bytes]) -> None:
        if word in _PAINTS:
            self.paint(word, operands)
        elif word in _COLOURS:
            self._colour[_COLOURS[word]] = colour = b" ".join(operands)
            if colour != _PEN:
                self.faces.printed.append(_grey(operands) + b" " + _GREYS[word])
        elif word == b"j":
            self._joins[-1] = operands[0]
        elif word in _STATES:
            if word == b"q":
                self._joins.append(self._joins[-1])
            elif word == b"Q" and len(self._joins) > 1:
                self._joins.pop()
            line = b" ".join([*operands, word])
            self.faces.printed.append(line)
            self.faces.written.append(line)
        elif word in self._text.OPERATORS:
            self._text.take(word, operands, self._face("fill"))
        elif word not in _IGNORED:
            raise ValueError(f"unknown drawing operator {word!r}")

    def _face(self, use: str) -> list[bytes]:
        return self.faces.written if self._colour[use] == _PEN else self.faces.printed


def _grey(operands: list[bytes]) -> bytes:
    """The grey that is mixed of equal parts of red, green and blue."""
    red, green, blue = operands
    if not red == green == blue:
        raise ValueError(f"unknown colour {operands}")
    return red


def _has_corner(path: list[bytes]) -> bool:
    """Whether lines of a stroked path meet."""
    return sum(word in _PATH and word != b"m" for word in path) > 1 or b"re" in path


class _Text:
    """Text operators, turned into placed glyphs."""

    OPERATORS = frozenset((b"Tf", b"Tm", b"Td", b"Tj", b"TJ"))

    def __init__(self, page_fonts: Mapping[str, PdfDictionary], fonts: Fonts, faces: Faces) -> None:
        self._page_fonts, self._fonts, self._faces = page_fonts, fonts, faces
        self._font: PdfDictionary | None = None
        self._size = 1.0
        self._matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
        self._here = 0.0

    def take(self, word: bytes, operands: list[bytes], target: list[bytes]) -> None:
        if word == b"Tf":
            self._font = self._page_fonts[operands[0].decode()]
            self._size = float(operands[1])
        elif word == b"Tm":
            a, b, c, d, e, f = map(float, operands)
            self._matrix, self._here = (a, b, c, d, e, f), 0.0
        elif word == b"Td":
            self._move(float(operands[0]), float(operands[1]))
            self._here = 0.0
        else:
            for operand in operands:
                if operand[:1] in b"(<":
                    self._show(_string(operand), target)
                elif operand not in (b"[", b"]"):
                    self._here -= float(operand) / 1000 * self._size

    def _move(self, x: float, y: float) -> None:
        a, b, c, d, e, f = self._matrix
        self._matrix = (a, b, c, d, e + a * x + c * y, f + b * x + d * y)

    def _show(self, string: bytes, target: list[bytes]) -> None:
        if self._font is None:
            raise ValueError("text is shown before its font is chosen")
        a, b, c, d, e, f = self._matrix
        for offset, glyph in self._fonts.glyphs(self._font, string):
            x = self._here + offset * self._size
            if glyph:
                self._faces.glyphs[glyph.name] = glyph
                numbers = (
                    a * self._size,
                    b * self._size,
                    c * self._size,
                    d * self._size,
                    e + a * x,
                    f + b * x,
                )
                placed = " ".join(f"{value:.3f}".rstrip("0").rstrip(".") for value in numbers)
                target.append(f"q {placed} cm /{glyph.name} Do Q".encode())
        self._here = x


def _string(operand: bytes) -> bytes:
    if operand.startswith(b"<"):
        return bytes.fromhex(operand[1:-1].decode())
    return re.sub(rb"\\([()\\])", rb"\1", operand[1:-1])
