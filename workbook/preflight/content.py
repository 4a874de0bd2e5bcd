"""What the pages of a workbook draw, read back from their content streams.

In: the bytes of a PDF that ``pages.assemble`` wrote. Out: for each page its size
and where forms, boxes, lines and words stand, in points from the lower left
corner. Reads one operation a line, as reportlab writes them, in less than a tenth of
the time that pypdf takes to extract the text. See ISO 32000-1, 8.3 (coordinates),
9.4 (text), 9.10.3 (the characters of a font's codes); the numbers are from memory.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field

from pypdf import PdfReader
from pypdf.errors import PyPdfError

Point = tuple[float, float]
Rect = tuple[float, float, float, float]
Matrix = tuple[float, float, float, float, float, float]

_TEXT = re.compile(rb"1 0 0 1 (\S+ \S+) Tm|/(\S+) \S+ Tf|\(((?:\\.|[^\\)])*)\) Tj", re.DOTALL)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_CONTROL = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_PAIR = re.compile(rb"<([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)>\s*\n")


class Unreadable(Exception):
    """The file is no PDF, or not one that ``pages.assemble`` wrote."""


@dataclass(frozen=True)
class Words:
    """A piece of text and where its baseline begins."""

    at: Point
    text: str


@dataclass
class Page:
    """What one page draws, in the order of drawing.

    ``size`` is (width, height); ``forms`` are Form XObjects by name with their
    matrix; ``boxes`` stroked rectangles (x0, y0, x1, y1); ``lines`` stroked lines.
    """

    size: Point
    forms: list[tuple[str, Matrix]] = field(default_factory=list)
    boxes: list[Rect] = field(default_factory=list)
    lines: list[Rect] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)


def read_pages(data: bytes) -> list[Page]:
    """The pages of a PDF. Raises Unreadable."""
    codes = _Codes()
    try:
        reader = PdfReader(io.BytesIO(data))
        return [_read_page(page, codes) for page in reader.pages]
    except (PyPdfError, ValueError, KeyError, IndexError, AttributeError, TypeError,
            RecursionError, OSError) as error:
        # what pypdf raises, by the kind of damage
        raise Unreadable(f"{type(error).__name__}: {error}") from None


def _read_page(page, codes: _Codes) -> Page:
    found = Page((float(page.mediabox.width), float(page.mediabox.height)))
    stream = page.get_contents()
    if stream is None:
        return found
    resources = page["/Resources"]
    fonts = resources["/Font"] if "/Font" in resources else {}
    matrix, kept = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), []
    for line in stream.get_data().split(b"\n"):
        line = line.rstrip()
        if line[-1:] not in b"qQmoST":
            continue
        if line == b"q":
            kept.append(matrix)
        elif line == b"Q":
            matrix = kept.pop()
        elif line.endswith(b" cm"):
            matrix = _times(tuple(map(float, line.split()[:-1])), matrix)
        elif line.endswith(b" Do"):
            found.forms.append((line.split()[0].decode(), _rounded(matrix)))
        elif line.endswith(b" re S"):
            x, y, width, height = map(float, line.split()[-6:-2])
            found.boxes.append(_rounded((*_at(matrix, x, y),
                                         *_at(matrix, x + width, y + height))))
        elif line.endswith(b" l S"):
            x0, y0, _, x1, y1 = line.split()[-7:-2]
            found.lines.append(_rounded((*_at(matrix, float(x0), float(y0)),
                                         *_at(matrix, float(x1), float(y1)))))
        elif line.endswith(b" ET"):
            found.words += _words(line, matrix, fonts, codes)
    return found


def _words(line: bytes, matrix: Matrix, fonts, codes: _Codes) -> list[Words]:
    """The words of a text object: what is shown from one origin to the next."""
    pieces: list[tuple[Point, list[str]]] = []
    font = b""
    for origin, name, shown in _TEXT.findall(line):
        if origin:
            x, y = map(float, origin.split())
            pieces.append((_at(matrix, x, y), []))
        elif name:
            font = name
        else:
            pieces[-1][1].append(codes.text(fonts.raw_get(f"/{font.decode()}"), shown))
    return [Words(_rounded(at), "".join(texts)) for at, texts in pieces if texts]


class _Codes:
    """The characters that the codes of each font stand for; each font, and each string, once."""

    def __init__(self):
        self._tables: dict[int, dict[int, str]] = {}
        self._texts: dict[tuple[int, bytes], str] = {}

    def text(self, font, shown: bytes) -> str:
        """The text of a literal string, without its parentheses."""
        number = font.idnum
        if (number, shown) not in self._texts:
            if number not in self._tables:
                self._tables[number] = self._table(font.get_object())
            self._texts[number, shown] = "".join(
                [self._tables[number].get(code, "\ufffd") for code in _string(shown)])
        return self._texts[number, shown]

    @staticmethod
    def _table(font) -> dict[int, str]:
        table = font["/ToUnicode"].get_object().get_data().partition(b"beginbfchar")[2]
        return {int(code, 16): bytes.fromhex(text.decode()).decode("utf-16-be")
                for code, text in _PAIR.findall(table)}


def _times(m: Matrix, n: Matrix) -> Matrix:
    a, b, c, d, e, f = m
    g, h, i, j, k, l = n
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j,
            e * g + f * i + k, e * h + f * j + l)


def _at(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _rounded(values):
    return tuple([round(value, 3) for value in values])


def _string(shown: bytes) -> bytes:
    """The bytes of a literal string between its parentheses (ISO 32000-1, 7.3.4.2)."""
    return _ESCAPE.sub(_unescaped, shown) if b"\\" in shown else shown


def _unescaped(match: re.Match) -> bytes:
    code = match[1]
    return bytes([int(code, 8) & 255]) if code[:1].isdigit() else _CONTROL.get(code, code)
