"""Make the TrueType files in this folder from the OpenType fonts of LilyPond.

In: TeX Gyre Schola and Emmentaler-20 as the ``lilypond`` wheel ships them
(cubic outlines, which reportlab does not read). Out: four ``.ttf`` files with
quadratic outlines, the same bytes on every run with the versions in
``MADE_WITH``. Run by hand, ``python -m workbook.typesetting.fonts.convert``, when a source
changes; a build never runs it.
"""

from __future__ import annotations

import importlib.util
import io
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont
    from fontTools.ttLib.tables._c_m_a_p import table__c_m_a_p

Place = tuple[float, float, float, int | None]
"""Scale, shift right, shift up and advance of a glyph; no advance: the glyph's own."""

HERE = Path(__file__).parent

# The committed files came from these; others may pack the same outlines differently.
MADE_WITH = {"fonttools": "4.68.0", "lilypond": "2.25.12"}

# File here: (OpenType file, family, style).
FILES = {
    "workbook-text-regular.ttf": ("texgyreschola-regular.otf", "Workbook Text", "Regular"),
    "workbook-text-bold.ttf": ("texgyreschola-bold.otf", "Workbook Text", "Bold"),
    "workbook-text-italic.ttf": ("texgyreschola-italic.otf", "Workbook Text", "Italic"),
    "workbook-signs.ttf": ("emmentaler-20.otf", "Workbook Signs", "Regular"),
}

SIGNS = {
    0x266F: "accidentals.sharp",
    0x266D: "accidentals.flat",
    0x266E: "accidentals.natural",
    0x1D12A: "accidentals.doublesharp",
    0x1D12B: "accidentals.flatflat",
}

# Signs are drawn round the staff line they stand on. In a line of text they
# stand round the middle of the capitals; a flat's point rests just below the
# baseline, as a round letter does. The scale is the sign's own: beside letters
# a double sharp at the scale of the sharp would look like a footnote mark.
SCALE = {
    "accidentals.sharp": 1.12,
    "accidentals.natural": 1.12,
    "accidentals.flat": 1.22,
    "accidentals.flatflat": 1.22,
    "accidentals.doublesharp": 1.35,
}
MIDDLE = {"accidentals.doublesharp": 320}  # others: half of CAPITALS
CAPITALS = 722  # height of Schola's capitals, in thousandths of the size
BEARING = 45  # room left and right of a sign, in thousandths of the size
FLAT_FOOT = -18
SIGN_ASCENT, SIGN_DESCENT = 900, -200

ERROR = 1.5  # largest distance between old and new outline, in font units
EPOCH = 3_786_825_600  # 1 January 2024 in seconds since 1904: no clock in the files
GUST = "GUST Font License, see fonts.md"
OFL = "SIL Open Font License 1.1, or GNU GPL with font exception, see fonts.md"


def source() -> Path | None:
    """The folder with LilyPond's OpenType fonts, or None without the wheel."""
    spec = importlib.util.find_spec("lilypond")
    if not spec or not spec.origin:
        return None
    root = Path(spec.origin).parent / "lilypond-binaries" / "share" / "lilypond"
    return next(iter(sorted(root.glob("*/fonts/otf"))), None)


def convert(file: str, folder: Path) -> bytes:
    """The bytes of ``file`` (a key of ``FILES``), made from the fonts in ``folder``.

    Raises ImportError without fontTools, OSError when the source is missing.
    """
    from fontTools.ttLib import TTFont

    origin, family, style = FILES[file]
    font = TTFont(folder / origin, recalcTimestamp=False)
    signs = family == "Workbook Signs"
    # Schola's private code points (small capitals, swashes) mean nothing in a name.
    cmap = (
        SIGNS
        if signs
        else {
            code: name for code, name in font.getBestCmap().items() if not 0xE000 <= code <= 0xF8FF
        }
    )
    _rebuild(font, cmap, _place_sign if signs else _leave)
    _rename(font, family, style, OFL if signs else GUST)
    font.sfntVersion = "\x00\x01\x00\x00"
    font["head"].created = font["head"].modified = EPOCH
    if signs:
        font["hhea"].ascent = font["OS/2"].sTypoAscender = SIGN_ASCENT
        font["hhea"].descent = font["OS/2"].sTypoDescender = SIGN_DESCENT
        font["OS/2"].usWinAscent, font["OS/2"].usWinDescent = SIGN_ASCENT, -SIGN_DESCENT
        font["OS/2"].sCapHeight = CAPITALS
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    return out.getvalue()


def _leave(name: str, bounds: tuple[float, ...]) -> Place:  # noqa: ARG001 (as _place_sign)
    return 1, 0, 0, None


def _place_sign(name: str, bounds: tuple[float, ...]) -> Place:
    """Where a sign goes and how wide it becomes, in font units."""
    scale = SCALE[name]
    left, bottom, right, _top = (value * scale for value in bounds)
    up = FLAT_FOOT - bottom if "flat" in name else MIDDLE.get(name, CAPITALS / 2)
    return scale, BEARING - left, up, round(right - left + 2 * BEARING)


def _rebuild(
    font: TTFont, cmap: dict[int, str], place: Callable[[str, tuple[float, ...]], Place]
) -> None:
    """Turn ``font`` into a TrueType font with just the glyphs that ``cmap`` names."""
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen
    from fontTools.ttLib import newTable

    old = font.getGlyphSet()
    wanted = set(cmap.values())
    order = [".notdef"] + [
        name for name in font.getGlyphOrder() if name in wanted and name != ".notdef"
    ]
    glyphs, metrics = {}, {}
    for name in order:
        bounds = BoundsPen(old)
        old[name].draw(bounds)
        scale, right, up, advance = (_leave if name == ".notdef" else place)(name, bounds.bounds)
        pen = TTGlyphPen(None)
        # PostScript outlines run the other way round from TrueType ones.
        old[name].draw(
            TransformPen(
                Cu2QuPen(pen, ERROR, reverse_direction=True), (scale, 0, 0, scale, right, up)
            )
        )
        glyphs[name] = pen.glyph()
        metrics[name] = (round(old[name].width) if advance is None else advance, 0)

    keep = {"head", "hhea", "maxp", "OS/2", "name", "post", "hmtx", "GlyphOrder"}
    for tag in set(font.keys()) - keep:
        del font[tag]
    font.setGlyphOrder(order)
    font["glyf"] = glyf = newTable("glyf")
    glyf.glyphOrder, glyf.glyphs = order, glyphs
    font["loca"] = newTable("loca")
    for name, glyph in glyphs.items():
        glyph.recalcBounds(glyf)
        metrics[name] = (metrics[name][0], getattr(glyph, "xMin", 0))
    font["hmtx"].metrics = metrics
    font["cmap"] = _cmap(cmap)
    _fit(font, cmap)


def _cmap(cmap: dict[int, str]) -> table__c_m_a_p:
    """Character table: format 4, and format 12 when anything lies above U+FFFF."""
    from fontTools.ttLib import newTable
    from fontTools.ttLib.tables._c_m_a_p import CmapSubtable

    table = newTable("cmap")
    table.tableVersion, table.tables = 0, []
    formats = [(4, 1, {c: g for c, g in cmap.items() if c < 0x10000})]
    if max(cmap) >= 0x10000:
        formats.append((12, 10, dict(cmap)))
    for number, encoding, chars in formats:
        sub = CmapSubtable.newSubtable(number)
        sub.platformID, sub.platEncID, sub.language, sub.cmap = 3, encoding, 0, chars
        table.tables.append(sub)
    return table


def _fit(font: TTFont, cmap: dict[int, str]) -> None:
    """Make the tables that describe the outlines match the new ones."""
    maxp = font["maxp"]
    maxp.tableVersion = 0x00010000
    maxp.maxZones, maxp.maxTwilightPoints, maxp.maxStorage = 1, 0, 0
    maxp.maxFunctionDefs = maxp.maxInstructionDefs = maxp.maxStackElements = 0
    maxp.maxSizeOfInstructions = 0
    maxp.maxComponentElements = maxp.maxComponentDepth = 0
    maxp.maxPoints = maxp.maxContours = 0
    maxp.maxCompositePoints = maxp.maxCompositeContours = 0
    font["head"].glyphDataFormat = 0
    post = font["post"]
    post.formatType, post.extraNames, post.mapping = 3.0, [], {}
    os2 = font["OS/2"]
    os2.usFirstCharIndex = min(*cmap, 0xFFFF)
    os2.usLastCharIndex = min(max(cmap), 0xFFFF)
    os2.fsType = 0  # free to embed; reportlab refuses a font that says otherwise


def _rename(font: TTFont, family: str, style: str, licence: str) -> None:
    """New names, with the original's copyright line and a note of the change."""
    table = font["name"]
    notice = table.getDebugName(0).strip()
    original = table.getDebugName(4)
    full = f"{family} {style}"
    table.names = []
    for number, value in {
        0: f"{notice}\nChanged from {original}: quadratic outlines, fewer glyphs, new name.",
        1: family,
        2: style,
        3: f"1.0;{full}",
        4: full,
        5: "Version 1.0",
        6: full.replace(" ", "-"),
        13: licence,
    }.items():
        table.setName(value, number, 3, 1, 0x409)


def main() -> int:
    """Write every file; the exit code is 1 when fontTools or the fonts are absent."""
    if importlib.util.find_spec("fontTools") is None:
        click.echo("fontTools is needed to make the fonts: pip install fonttools", err=True)
        return 1
    folder = source()
    if folder is None:
        click.echo("the fonts come from the lilypond wheel: pip install lilypond", err=True)
        return 1
    for file in FILES:
        data = convert(file, folder)
        (HERE / file).write_bytes(data)
        click.echo(f"{file}: {len(data)} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
