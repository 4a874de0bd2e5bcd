"""Text on a page: which font has which character, how wide, where it breaks.

In: plain strings (no markup: ``<b>`` is four characters). Out: text drawn on a
reportlab canvas, or measured, in points. Every character comes from Schola,
else from our music signs, else from a font installed on this machine; see
fonts.md. Nothing here draws a box for a character that no font has.
"""

from __future__ import annotations

import bisect
import re
import struct
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from workbook.errors import WorkbookError
from workbook.typesetting import direction
from workbook.typesetting.fonts import system

FACES = ("regular", "bold", "italic")
_FOLDER = Path(__file__).parent / "fonts"
_SIGNS = "Workbook-Signs"
_LONG_CODE = re.compile(r"> <([0-9A-F]{5,6})>")
_SHAPED = frozenset(
    [
        "DEVANAGARI",
        "BENGALI",
        "GURMUKHI",
        "GUJARATI",
        "ORIYA",
        "TAMIL",
        "TELUGU",
        "KANNADA",
        "MALAYALAM",
        "SINHALA",
        "KHMER",
        "MYANMAR",
        "TIBETAN",
        "SYRIAC",
        "NKO",
        "MONGOLIAN",
        "ADLAM",
        "JAVANESE",
        "BALINESE",
    ]
)
# Characters that steer and draw nothing; the joiners are kept, names need them.
_JOINERS = "\u200c\u200d"


class Unprintable(WorkbookError):
    """No font on this machine has a character; the text says which and what to do."""

    exit_code = 2

    def __init__(self, characters: set[str]):
        self.characters = frozenset(characters)
        named = ", ".join(_named(char) for char in sorted(characters))
        super().__init__(
            f"no font on this machine has {named}; write the text without it, "
            "or install a font that has it (the Noto families cover most scripts)"
        )


def _named(char: str) -> str:
    return f"U+{ord(char):04X} {unicodedata.name(char, 'without a name')}"


class _Font(TTFont):
    """A font whose characters above U+FFFF can be copied out of the PDF.

    reportlab writes each of them into the ToUnicode table as one number; the
    table wants UTF-16, so they are rewritten here as surrogate pairs.
    """

    def addObjects(self, doc):
        super().addObjects(doc)
        for name, stream in doc.idToObject.items():
            if name.startswith("toUnicodeCMap:"):
                stream.content = _LONG_CODE.sub(_as_utf16, stream.content)
        for font in doc.idToObject["BasicFonts"].dict.values():
            if isinstance(getattr(font, "Widths", None), pdfdoc.PDFArray):
                font.Widths = _Widths(font.Widths)


class _Widths(pdfdoc.PDFObject):
    """An array of numbers that is written in one go: reportlab's own is a tenth of a file's time."""

    def __init__(self, array: pdfdoc.PDFArray):
        self._numbers = array.sequence

    def format(self, document) -> bytes:
        return f"[ {' '.join(map(number, self._numbers))} ]".encode()


def _as_utf16(code: re.Match) -> str:
    return f"> <{chr(int(code[1], 16)).encode('utf-16-be').hex().upper()}>"


def _register(name: str, path: Path, index: int = 0) -> TTFont:
    """Load a font and make it known to reportlab; raises what a bad file makes it raise."""
    font = _Font(name, str(path), subfontIndex=index, shapable=False, asciiReadable=False)
    pdfmetrics.registerFont(font)
    return font


@cache
def _shipped(name: str) -> TTFont:
    return _register(name, _FOLDER / f"{name.lower()}.ttf")


@cache
def _installed(path: Path, index: int) -> TTFont | None:
    """A font of this machine, or None when reportlab cannot use or embed it."""
    try:
        return _register(f"Fallback-{path.stem}-{index}".replace(" ", "-"), path, index)
    except (TTFError, OSError, struct.error, ValueError, KeyError, IndexError, AssertionError):
        return None


def _has(font: TTFont, char: str) -> bool:
    return font.face.charToGlyph.get(ord(char), 0) != 0


@cache
def _font_for(cluster: str, face: str) -> TTFont | None:
    """The first font that has every character of ``cluster``."""
    for name in (f"Workbook-Text-{face.capitalize()}", _SIGNS):
        font = _shipped(name)
        if all(_has(font, char) for char in cluster):
            return font
    if any(unicodedata.category(char) in ("Co", "Cn", "Cs", "Cc") for char in cluster):
        return None
    for path, index in system.candidates(cluster[0], face):
        font = _installed(path, index)
        if font and all(_has(font, char) for char in cluster):
            return font
    return None


def _with_words(text: str):
    """(cluster, the non-Latin letters of its word) for every cluster of ``text``."""
    for word in re.split("( )", text):
        parts = direction.clusters(word)
        letters = tuple(
            part
            for part in parts
            if part[0].isalpha() and not unicodedata.name(part[0], "LATIN").startswith("LATIN")
        )
        for part in parts:
            yield part, letters


@lru_cache(maxsize=1024)
def _word_font(letters: tuple[str, ...], face: str) -> TTFont | None:
    """One font for all of a word: Schola has a few Greek letters, which must
    not stand among those of another face. None when no font has them all.
    """
    shipped = _shipped(f"Workbook-Text-{face.capitalize()}")
    needed = {char for letter in letters for char in letter}
    if all(_has(shipped, char) for char in needed):
        return shipped
    first = min((char for char in needed if not _has(shipped, char)), key=ord)
    for path, index in system.candidates(first, face):
        font = _installed(path, index)
        if font and all(_has(font, char) for char in needed):
            return font
    return None


def _visible(text: str) -> str:
    """``text`` without what draws nothing, and with plain spaces for all others."""
    return "".join(
        " " if char.isspace() else char
        for char in text
        if char.isspace()
        or not (unicodedata.category(char) == "Cf" or 0xFE00 <= ord(char) <= 0xFE0F)
    )


@lru_cache(maxsize=4096)
def _pieces(text: str, face: str) -> tuple[tuple[TTFont | None, str], ...]:
    """(font, characters) in drawing order; the font is None for what nothing has."""
    pieces: list[tuple[TTFont | None, str]] = []

    def add(font, chars):
        # A space between two words of one face is set in that face, so that a
        # reader of the PDF meets one piece of text (it must, to turn it round).
        if len(pieces) > 1 and pieces[-1][1] == " " and pieces[-2][0] is font and font:
            if _has(font, " "):
                pieces.pop()
                chars = " " + chars
        if pieces and pieces[-1][0] is font:
            pieces[-1] = font, pieces[-1][1] + chars
        else:
            pieces.append((font, chars))

    for cluster, word in _with_words(_visible(direction.visual(text))):
        font = _word_font(word, face) if cluster in word else _font_for(cluster, face)
        font = font or _font_for(cluster, face)
        if font is None:
            # A joined Arabic form or a composed letter that no font has may
            # still be there as the plain letters it is made of.
            for form in ("NFC", "NFKC", "NFKD"):
                plain = unicodedata.normalize(form, cluster)
                font = _font_for(plain, face)
                if font:
                    cluster = plain
                    break
        if font:
            add(font, cluster)
        else:
            for char in cluster:
                add(_font_for(char, face), char)
    return tuple(pieces)


def runs(text: str, face: str = "regular") -> list[tuple[str, str]]:
    """``text`` as (reportlab font name, characters), in the order drawn.

    >>> runs("B♭", "bold")
    [('Workbook-Text-Bold', 'B'), ('Workbook-Signs', '♭')]

    Raises Unprintable when no font has one of the characters, ValueError for a
    face that is not in ``FACES``.
    """
    if face not in FACES:
        raise ValueError(f"{face!r} is no face; the faces are {', '.join(FACES)}")
    pieces = _pieces(text, face)
    missing = {char for font, chars in pieces if font is None for char in chars}
    if missing:
        raise Unprintable(missing)
    return [(font.fontName, chars) for font, chars in pieces]


def unprintable(text: str) -> set[str]:
    """The characters of ``text`` that no available font has, in any of the faces."""
    return {
        char
        for face in FACES
        for font, chars in _pieces(text, face)
        if font is None
        for char in chars
    }


def unshaped(text: str) -> set[str]:
    """Scripts in ``text`` whose letters should change or move beside each other
    and do not here ("Devanagari", …): legible letter by letter, not well set.
    """
    first_words = {unicodedata.name(char, "").split(" ")[0] for char in text}
    return {word.capitalize() for word in first_words & _SHAPED}


def clean(text: str) -> str:
    """``text`` composed (NFC), white space folded to single spaces, and without
    control characters and the marks that override the direction of writing.

    >>> clean(" Ann\\u202e\\t Lee\\x07 ")
    'Ann Lee'
    """
    kept = (
        " " if char.isspace() else char
        for char in unicodedata.normalize("NFC", text)
        if char.isspace() or char in _JOINERS or unicodedata.category(char) not in ("Cc", "Cf")
    )
    return " ".join("".join(kept).split())


@lru_cache(maxsize=16384)
def _unit_width(text: str, face: str) -> float:
    return sum(pdfmetrics.stringWidth(chars, name, 1) for name, chars in runs(text, face))


def width(text: str, face: str = "regular", size: float = 10) -> float:
    """The width of ``text`` in points when set in ``face`` at ``size`` points."""
    return _unit_width(text, face) * size


_ESCAPED = [
    chr(code) if 32 <= code < 127 and code not in b"()\\" else f"\\{code:03o}"
    for code in range(256)
]
"""How each byte is written in a literal string (ISO 32000-1, 7.3.4.2)."""


class Lines:
    """Lines of text on the pages of a canvas; ``finish`` draws what was set on a page.

    The operators (ISO 32000-1, 9.4) are written here: a piece of text is encoded once
    a file, colour and font are set where they change, which keeps files small and quick.
    """

    _SHARES = {"left": 0.0, "center": 0.5, "right": 1.0}

    def __init__(self, canvas):
        self._canvas = canvas
        self._shown: dict[tuple[str, str], list[tuple[str, str]]] = {}
        self._clear()

    def _clear(self) -> None:
        self._code: list[str] = []
        self._colour = self._font = None

    def draw(
        self,
        x: float,
        y: float,
        text: str,
        face: str = "regular",
        size: float = 10,
        align: str = "left",
        colour=None,
    ) -> None:
        """Set one line with its baseline at ``y``.

        ``x`` is the left end, the middle or the right end, as ``align`` says ("left",
        "center", "right"). ``colour`` is any reportlab colour. Raises Unprintable,
        and ValueError for another ``align``.
        """
        if align not in self._SHARES:
            raise ValueError(f"{align!r} is no alignment; use {', '.join(self._SHARES)}")
        shown = self._shown.get((text, face)) or self._encode(text, face)
        code = self._code
        if colour is not None and colour is not self._colour:
            code.append(" ".join(map(number, colour.rgb())) + " rg")
            self._colour = colour
        share = self._SHARES[align]
        left = x - share * width(text, face, size) if share else x
        code.append(f"1 0 0 1 {number(left)} {number(y)} Tm")
        for font, operator in shown:
            if (font, size) != self._font:
                code.append(f"{font} {number(size)} Tf")
                self._font = font, size
            code.append(operator)

    def _encode(self, text: str, face: str) -> list[tuple[str, str]]:
        """What shows a text: names of fonts in the file, each with an operator."""
        shown, document = [], self._canvas._doc
        for name, chars in runs(text, face):
            font = pdfmetrics.getFont(name)
            for subset, codes in font.splitString(chars, document):
                shown.append(
                    (
                        font.getSubsetInternalName(subset, document),
                        f"({''.join(map(_ESCAPED.__getitem__, codes))}) Tj",
                    )
                )
        self._shown[text, face] = shown
        return shown

    def finish(self) -> None:
        """Draw the lines on the canvas's page."""
        if self._code:
            self._canvas.addLiteral(f"BT {' '.join(self._code)} ET")
        self._clear()


@lru_cache(maxsize=65536)
def number(value: float) -> str:
    """A number as PDF has it: to a thousandth, without an exponent."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def wrap(text: str, face: str, size: float, width: float) -> list[str]:
    """``text`` in lines that are at most ``width`` points wide; [] for empty text.

    Lines break at spaces; a word wider than a line breaks between characters.
    Only a single character that is wider than a line gets out of it.
    """
    lines: list[str] = []
    line = ""
    for word in _visible_spaces(text).split(" "):
        if not word:
            continue
        longer = f"{line} {word}" if line else word
        if _fits(longer, face, size, width):
            line = longer
            continue
        if line:
            lines.append(line)
        line = ""
        for part in direction.clusters(word):
            if line and not _fits(line + part, face, size, width):
                lines.append(line)
                line = ""
            line += part
    return lines + [line] if line else lines


def shorten(text: str, face: str, size: float, width: float) -> str:
    """``text``, or as much of it as fits ``width`` points with "…" at the end.

    Empty when not even the "…" fits.
    """
    if _fits(text, face, size, width):
        return text
    parts = direction.clusters(text)

    def cut(count: int) -> str:
        return "".join(parts[:count]).rstrip() + "…"

    count = bisect.bisect_left(
        range(len(parts)), True, key=lambda n: not _fits(cut(n), face, size, width)
    )
    # Joined letters can be narrower than the same letters apart, so look back once more.
    while count > 0:
        count -= 1
        if _fits(cut(count), face, size, width):
            return cut(count)
    return ""


_MAY_BREAK = re.compile("[^\\S\u00a0\u202f]")


def _visible_spaces(text: str) -> str:
    """White space at which a line may break as " "; the no-break space stays."""
    return _MAY_BREAK.sub(" ", text)


def _fits(text: str, face: str, size: float, room: float) -> bool:
    # A hair of tolerance: a line measured to the room it then gets must fit.
    return width(text, face, size) <= room + 1e-6
