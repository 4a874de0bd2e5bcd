"""Lines of text drawn on the pages of a reportlab canvas.

In: texts with their places, in points from the lower left corner. Out: PDF text operators
(ISO 32000-1, 9.4), one block per page.
"""

from __future__ import annotations

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from workbook.typesetting.fonts.faces import Font
from workbook.typesetting.pdf_syntax import ESCAPED, number
from workbook.typesetting.runs import font_runs
from workbook.typesetting.text import width

_SHARES = {"left": 0.0, "center": 0.5, "right": 1.0}


class Lines:
    """The lines of a document; ``finish`` draws what was set on a page.

    A text is encoded once per document, and colour and font are set only where they
    change, which keeps files small and quick to make.
    """

    def __init__(self, canvas: Canvas):
        self._canvas = canvas
        self._shown: dict[tuple[str, str], list[tuple[str, str]]] = {}
        # How a character is written, by font: those of its first subset, which holds
        # all characters but those of long texts in other scripts.
        self._codes: dict[Font, dict[str, str]] = {}
        self._clear()

    def _clear(self) -> None:
        self._code: list[str] = []
        self._colour: Color | None = None
        self._font: tuple[str, float] | None = None

    def draw(
        self,
        x: float,
        y: float,
        text: str,
        face: str = "regular",
        size: float = 10,
        align: str = "left",
        colour: Color | None = None,
    ) -> None:
        """Set one line with its baseline at ``y``.

        ``x`` is the left end, the middle or the right end, as ``align`` says ("left",
        "center", "right"). Raises Unprintable, and ValueError for another ``align``
        or face.
        """
        if align not in _SHARES:
            raise ValueError(f"{align!r} is no alignment; use {', '.join(_SHARES)}")
        shown = self._shown.get((text, face)) or self._encode(text, face)
        code = self._code
        if colour is not None and colour is not self._colour:
            code.append(" ".join(map(number, colour.rgb())) + " rg")
            self._colour = colour
        share = _SHARES[align]
        left = x - share * width(text, face, size) if share else x
        code.append(f"1 0 0 1 {number(left)} {number(y)} Tm")
        for font, operator in shown:
            if (font, size) != self._font:
                code.append(f"{font} {number(size)} Tf")
                self._font = font, size
            code.append(operator)

    def _encode(self, text: str, face: str) -> list[tuple[str, str]]:
        """What shows a text: names of fonts in the file, each with an operator."""
        shown = [
            operator
            for font, chars in font_runs(text, face)
            for operator in self._show(font, chars)
        ]
        self._shown[text, face] = shown
        return shown

    def _show(self, font: Font, chars: str) -> list[tuple[str, str]]:
        document, codes = self._canvas._doc, self._codes.setdefault(font, {})
        try:
            string = "".join(map(codes.__getitem__, chars))
        except KeyError:
            pass
        else:
            return [(font.getSubsetInternalName(0, document), f"({string}) Tj")]
        shown = []
        for subset, code in font.splitString(chars, document):
            string = "".join(map(ESCAPED.__getitem__, code))
            shown.append((font.getSubsetInternalName(subset, document), f"({string}) Tj"))
            if subset == 0 and len(code) == len(chars):
                codes.update(zip(chars, map(ESCAPED.__getitem__, code)))
        return shown

    def finish(self) -> None:
        """Draw the lines on the canvas's page."""
        if self._code:
            self._canvas.addLiteral(f"BT {' '.join(self._code)} ET")
        self._clear()
