"""Lines of text drawn on the pages of a reportlab canvas.

In: texts with their places, in points from the lower left corner. Out: PDF text operators
(ISO 32000-1, 9.4), one block per page. A numeral or chord symbol that is set in figures has its
plain spelling as replacement text (ISO 32000-2, 14.9.4), and its circles follow as paths.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from workbook.typesetting import figured
from workbook.typesetting.fonts.embedded import Font
from workbook.typesetting.pdf_syntax import ESCAPED, number, text_string
from workbook.typesetting.runs import font_runs
from workbook.typesetting.text import width

_SHARES = {"left": 0.0, "center": 0.5, "right": 1.0}
_HAIR = 0.0005
"""Points: shorter moves are left out."""


def filling(colour: Color) -> str:
    """The operator that fills in ``colour``: black and greys in one component (8.6.4.2)."""
    red, green, blue = colour.rgb()
    return f"{number(red)} g" if red == green == blue else f"{_components(colour)} rg"


def stroking(colour: Color) -> str:
    """The operator that strokes in ``colour``, as for filling."""
    red, green, blue = colour.rgb()
    return f"{number(red)} G" if red == green == blue else f"{_components(colour)} RG"


def _components(colour: Color) -> str:
    return " ".join(map(number, colour.rgb()))


class _Font(NamedTuple):
    """A font of the file in one size: its name, the size, and the operator that sets it."""

    name: str
    size: float
    operator: str


class Lines:
    """The lines of a document; ``finish`` draws what was set on a page.

    A text is encoded once, and colour and font are set only where they
    change, which keeps files small and quick to make.
    """

    def __init__(self, canvas: Canvas):
        self._canvas = canvas
        self._shown: dict[tuple[str, str, float], list[tuple[_Font, str]]] = {}
        self._names: dict[Font, str] = {}
        self._fonts: dict[tuple[str, float], _Font] = {}
        self._clear()

    def _clear(self) -> None:
        self._code: list[str] = []
        self._circles: list[str] = []
        self._colour: Color | None = None
        self._font: _Font | None = None

    def draw(
        self,
        x: float,
        y: float,
        text: str,
        face: str = "regular",
        size: float = 10,
        align: str = "left",
        colour: Color | None = None,
        grammar: figured.Grammar = "",
    ) -> None:
        """Set one line with its baseline at ``y``.

        ``x`` is the left end, the middle or the right end, as ``align`` says ("left",
        "center", "right"). ``grammar`` says how symbols with figures in it are read. Raises
        Unprintable, and ValueError for another ``align`` or face.
        """
        share = _SHARES.get(align)
        if share is None:
            raise ValueError(f"{align!r} is not an alignment; use {', '.join(_SHARES)}")
        code = self._code
        if colour is not None and colour is not self._colour:
            code.append(filling(colour))
            self._colour = colour
        left = x - share * figured.width(text, grammar, face, size) if share else x
        code.append(f"1 0 0 1 {number(left)} {number(y)} Tm")
        pieces = figured.pieces(text, grammar) if grammar else ()
        if len(pieces) < 2 and not (pieces and pieces[0][1]):
            self._show_text(text, face, size)
            return
        for piece, read in pieces:
            if read:
                symbol = figured.symbol(piece, read, face, figured.is_small(size))
                self._set(symbol, left, y, face, size)
                left += size * symbol.width
            else:
                self._show_text(piece, face, size)
                left += width(piece, face, size)

    def begin(self, content: str) -> None:
        """Begin a piece of content with the operator ``content``; ``end`` ends it."""
        self._code.append(content)

    def end(self) -> None:
        self._code.append("EMC")

    def _show_text(self, text: str, face: str, size: float) -> None:
        """Show a text where the last one ended."""
        code = self._code
        for font, operator in self._shown.get((text, face, size)) or self._encode(text, face, size):
            if font is not self._font:
                code.append(font.operator)
                self._font = font
            code.append(operator)

    def _set(self, symbol: figured.Symbol, x: float, y: float, face: str, size: float) -> None:
        """Show a symbol where the last text ended, at (``x``, ``y``).

        Its glyphs are raised and moved along one line, so that a reader that knows nothing of
        replacement text meets them in the order of the spelling, the slash of a stack and the
        signs that are drawn included.
        """
        code = self._code
        code.append(f"/Span <</ActualText {text_string(symbol.text)}>> BDC")
        at = 0.0
        for glyphs in symbol.glyphs:
            em = size * glyphs.size
            code.append(f"{number(size * glyphs.rise)} Ts")
            if glyphs.hidden:
                code.append("3 Tr")
            move = size * (glyphs.x - at)
            if abs(move) > _HAIR:
                shown = self._shown.get((glyphs.text, face, em))
                self._font, _ = (shown or self._encode(glyphs.text, face, em))[0]
                code += [self._font.operator, f"[{number(-1000 * move / em)}] TJ"]
            self._show_text(glyphs.text, face, em)
            if glyphs.hidden:
                code.append("0 Tr")
            at = glyphs.x + width(glyphs.text, face, glyphs.size)
        end = size * (symbol.width - at)
        if abs(end) > _HAIR and self._font:
            code.append(f"[{number(-1000 * end / self._font.size)}] TJ")
        code.append("0 Ts EMC")
        self._circles += [self._circle(circle, x, y, size) for circle in symbol.circles]

    def _circle(self, circle: figured.Circle, x: float, y: float, size: float) -> str:
        """The operators of a circle, in the colour of the text."""
        code = ["q"]
        if self._colour is not None:
            code.append(stroking(self._colour))
        code.append(f"{number(size * circle.line)} w")
        for points in figured.outline(circle, x, y, size):
            said = " ".join(map(number, points))
            if len(points) == 4:
                said = "{} {} m {} {} l".format(*map(number, points))
            code.append(said + {2: " m", 4: "", 6: " c"}[len(points)])
        return " ".join([*code, "s Q"])

    def _encode(self, text: str, face: str, size: float) -> list[tuple[_Font, str]]:
        """What shows a text: fonts in the file, each with an operator."""
        document = self._canvas._doc
        usual = _usual(text, face)
        if usual is None:
            named = [
                (font.getSubsetInternalName(subset, document), _operator(codes))
                for font, chars in font_runs(text, face)
                for subset, codes in font.splitString(chars, document)
            ]
        else:
            names = self._names
            for font, _ in usual:
                if font not in names:
                    names[font] = font.getSubsetInternalName(0, document)
            named = [(names[font], code) for font, code in usual]
        shown = self._shown[text, face, size] = [
            (self._sized(name, size), operator) for name, operator in named
        ]
        return shown

    def _sized(self, name: str, size: float) -> _Font:
        """The font of this name in this size, always the same object."""
        font = _Font(name, size, f"{name} {number(size)} Tf")
        return self._fonts.setdefault((name, size), font)

    def finish(self) -> None:
        """Draw the lines on the canvas's page."""
        if self._code:
            self._canvas.addLiteral(f"BT {' '.join(self._code)} ET")
        if self._circles:  # read as the replacement text of their symbols
            self._canvas.addLiteral("\n".join(["/Artifact BMC", *self._circles, "EMC"]))
        self._clear()


@lru_cache(maxsize=4096)
def _usual(text: str, face: str) -> tuple[tuple[Font, str], ...] | None:
    """What shows a text of usual characters, the same in all documents; None for other texts."""
    try:
        return tuple(
            (font, f"({''.join(map(font.shown.__getitem__, chars))}) Tj")
            for font, chars in font_runs(text, face)
        )
    except KeyError:
        return None


def _operator(codes: bytes) -> str:
    return f"({''.join(map(ESCAPED.__getitem__, codes))}) Tj"
