"""Glyphs of an engraving as outlines, so that a snippet needs no font of the run that made it.

In: the fonts of a page that LilyPond drew (CFF: Adobe Technical Note 5176). Out:
``Glyph`` values, named by their content: the same glyph has the same name in every run,
and goes into a file once.
"""

from __future__ import annotations

import hashlib
import io
import zlib
from dataclasses import dataclass
from typing import Any, Protocol


class PdfDictionary(Protocol):
    """What is used of a dictionary that pypdf has read. Its values are of any type, and pypdf
    is imported only where something is missing from the cache.
    """

    indirect_reference: Any

    def __getitem__(self, key: str, /) -> Any: ...


@dataclass(frozen=True)
class Glyph:
    """An outline to be filled: path operators, compressed (zlib), and their bounding box.

    Both are in 1/1000 of the font size.
    """

    name: str
    box: tuple[int, int, int, int]
    outline: bytes


class Fonts:
    """The fonts of one book's pages, each read once."""

    def __init__(self) -> None:
        self._read: dict[int, _Font] = {}

    def glyphs(self, font: PdfDictionary, string: bytes) -> list[tuple[float, Glyph | None]]:
        """Each glyph of a shown string with its distance from the string's start, in
        font sizes; last the end of the string, with None.
        """
        reference = font.indirect_reference.idnum
        if reference not in self._read:
            self._read[reference] = _Font(font)
        return self._read[reference].place(string)


class _Font:
    def __init__(self, font: PdfDictionary) -> None:
        # late: a build that finds all its music in the cache reads no font
        from fontTools.cffLib import CFFFontSet

        self._wide = font["/Subtype"] == "/Type0"
        descriptor = (font["/DescendantFonts"][0] if self._wide else font)["/FontDescriptor"]
        fonts = CFFFontSet()
        fonts.decompile(io.BytesIO(descriptor["/FontFile3"].get_data()), None)
        self._charstrings = fonts[fonts.fontNames[0]].CharStrings
        self._names = fonts[fonts.fontNames[0]].charset
        self._made: dict[str, tuple[float, Glyph | None]] = {}

    def place(self, string: bytes) -> list[tuple[float, Glyph | None]]:
        if self._wide:
            codes = [int.from_bytes(string[i : i + 2], "big") for i in range(0, len(string), 2)]
            names = [self._names[code] for code in codes]
        else:
            from fontTools.agl import UV2AGL

            names = [UV2AGL[ord(letter)] for letter in string.decode("cp1252")]
        x = 0.0
        placed: list[tuple[float, Glyph | None]] = []
        for name in names:
            advance, glyph = self._glyph(name)
            placed.append((x, glyph))
            x += advance
        return [*placed, (x, None)]

    def _glyph(self, glyph_name: str) -> tuple[float, Glyph | None]:
        if glyph_name not in self._made:
            charstring = self._charstrings[glyph_name]
            outline, bounds = _drawn(charstring)
            name = "G" + hashlib.sha256(outline).hexdigest()[:10]
            x0, y0, x1, y1 = bounds or (0, 0, 0, 0)
            box = (int(x0) - 1, int(y0) - 1, int(x1) + 2, int(y1) + 2)
            glyph = Glyph(name, box, zlib.compress(outline, 9)) if outline else None
            self._made[glyph_name] = charstring.width / 1000, glyph
        return self._made[glyph_name]


def _drawn(charstring: Any) -> tuple[bytes, tuple[float, float, float, float] | None]:
    """Path operators (ISO 32000-1, 8.5.2) that fill a glyph, b"" for none; its bounding box."""
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.pens.recordingPen import RecordingPen

    record, bounds = RecordingPen(), BoundsPen(None)
    charstring.draw(record)
    record.replay(bounds)
    operators = {"moveTo": "m", "lineTo": "l", "curveTo": "c", "closePath": "h"}
    lines = [
        " ".join([*(f"{value:g}" for point in points for value in point), operators[name]])
        for name, points in record.value
    ]
    return ("\n".join([*lines, "f"]).encode() if lines else b""), bounds.bounds
