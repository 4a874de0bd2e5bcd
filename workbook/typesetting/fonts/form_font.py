"""The font in which answers are typed into a PDF form.

In: the shipped faces. Out: one small TrueType font with the characters of Windows code page
1252 and the signs ♯ ♭ ♮, and the code of each in a PDF (ISO 32000-1, annex D.2; the signs have
codes that the code page leaves open).
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from pathlib import Path

NAME = "WorkbookForm"
SIGNS = {129: "♯", 141: "♭", 143: "♮"}
"""The signs by their codes in the font."""
_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class FormFont:
    """A TrueType file; ``widths`` are those of the codes 32 to 255, in thousandths of the size.

    ``box`` and the other measures are in thousandths, too.
    """

    data: bytes
    widths: tuple[int, ...]
    box: tuple[int, int, int, int]
    ascent: int
    descent: int
    capitals: int


def character(code: int) -> str:
    """The character of a code, or "" if it has none."""
    if code in SIGNS:
        return SIGNS[code]
    try:
        return bytes([code]).decode("cp1252")
    except UnicodeDecodeError:
        return ""


@cache
def form_font() -> FormFont:
    """The font, made once in a process from two shipped ones (both 1000 units to the em)."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    text = TTFont(_FOLDER / "workbook-text-regular.ttf", recalcTimestamp=False)
    signs = TTFont(_FOLDER / "workbook-signs.ttf", recalcTimestamp=False)
    wanted = [ord(c) for c in map(character, range(32, 256)) if c and c not in SIGNS.values()]
    options = Options(glyph_names=False, notdef_outline=True, recalc_bounds=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=wanted)
    subsetter.subset(text)
    order = list(text.getGlyphOrder())
    source = signs.getBestCmap()
    for sign in SIGNS.values():
        old, new = source[ord(sign)], f"uni{ord(sign):04X}"
        order.append(new)
        text["glyf"].glyphs[new] = signs["glyf"][old]
        text["hmtx"].metrics[new] = signs["hmtx"].metrics[old]
        for table in text["cmap"].tables:
            table.cmap[ord(sign)] = new
    text.setGlyphOrder(order)
    text["glyf"].glyphOrder = order
    out = io.BytesIO()
    text.save(out)
    cmap, metrics, head = text.getBestCmap(), text["hmtx"].metrics, text["head"]
    widths = tuple(
        metrics[cmap[ord(char)]][0] if char and ord(char) in cmap else 0
        for char in map(character, range(32, 256))
    )
    return FormFont(
        out.getvalue(),
        widths,
        (head.xMin, head.yMin, head.xMax, head.yMax),
        text["hhea"].ascent,
        text["hhea"].descent,
        text["OS/2"].sCapHeight,
    )
