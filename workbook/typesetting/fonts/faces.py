"""Which font has which character: the shipped faces, then fonts of this machine.

In: characters and a face. Out: fonts, known to reportlab by their names. Each file is
loaded once per process, when it is first needed; threads may ask at the same time.
"""

from __future__ import annotations

import re
import struct
import threading
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from workbook.typesetting.fonts import system
from workbook.typesetting.pdf_syntax import number

FACES = ("regular", "bold", "italic")
_FOLDER = Path(__file__).parent
_SIGNS = "Workbook-Signs"
_LONG_CODE = re.compile("> <([0-9A-F]{5,6})>")
_LOADING = threading.RLock()


class Font(TTFont):  # type: ignore[misc]  # reportlab has no types
    """A font that documents in several threads may share.

    Its characters above U+FFFF can be copied out of the PDF: reportlab writes each of
    them into the ToUnicode table as one number; the table wants UTF-16, so they are
    rewritten here as surrogate pairs.
    """

    def __init__(self, name: str, path: Path, index: int):
        super().__init__(name, str(path), subfontIndex=index, shapable=False, asciiReadable=False)
        self._reading = threading.Lock()

    def has(self, char: str) -> bool:
        return bool(self.face.charToGlyph.get(ord(char), 0))

    def has_all(self, chars: str | set[str]) -> bool:
        return all(map(self.has, chars))

    def width(self, chars: str) -> float:
        """The width of ``chars`` at a size of 1 point; the font has all of them."""
        total: float = 0.001 * sum(map(self.face.charWidths.__getitem__, map(ord, chars)))
        return total

    def addObjects(self, doc: pdfdoc.PDFDocument) -> None:  # noqa: N802 (reportlab's name)
        """Put the characters that ``doc`` uses into it."""
        with self._reading:  # one file, read from one place at a time
            super().addObjects(doc)
        for name, stream in doc.idToObject.items():
            if name.startswith("toUnicodeCMap:"):
                stream.content = _LONG_CODE.sub(_as_utf16, stream.content)
        for font in doc.idToObject["BasicFonts"].dict.values():
            if isinstance(getattr(font, "Widths", None), pdfdoc.PDFArray):
                font.Widths = _Widths(font.Widths)


class _Widths(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """An array of numbers, written in one go: reportlab's own takes a tenth of a file's time."""

    def __init__(self, array: pdfdoc.PDFArray):
        self._numbers: list[float] = array.sequence

    def format(self, document: pdfdoc.PDFDocument) -> bytes:  # noqa: ARG002 (reportlab's call)
        return f"[ {' '.join(map(number, self._numbers))} ]".encode()


def _as_utf16(code: re.Match[str]) -> str:
    return f"> <{chr(int(code[1], 16)).encode('utf-16-be').hex().upper()}>"


@cache
def _register(name: str, path: Path, index: int) -> Font:
    """Load a font and make it known to reportlab; raises what a bad file makes it raise."""
    font = Font(name, path, index)
    pdfmetrics.registerFont(font)
    return font


def _load(name: str, path: Path, index: int = 0) -> Font:
    # Two objects for one file would part the text set in it.
    with _LOADING:
        return _register(name, path, index)


@cache
def shipped(name: str) -> Font:
    """A shipped font, by name ("Workbook-Signs")."""
    return _load(name, _FOLDER / f"{name.lower()}.ttf")


def text_font(face: str) -> Font:
    """Workbook Text in one of the ``FACES``."""
    return shipped(f"Workbook-Text-{face.capitalize()}")


def sign_font() -> Font:
    """Workbook Signs, the same beside every face."""
    return shipped(_SIGNS)


@cache
def _installed(path: Path, index: int) -> Font | None:
    """A font of this machine, or None when reportlab cannot use or embed it."""
    try:
        return _load(f"Fallback-{path.stem}-{index}".replace(" ", "-"), path, index)
    except (TTFError, OSError, struct.error, ValueError, KeyError, IndexError, AssertionError):
        return None


@cache
def font_for(cluster: str, face: str) -> Font | None:
    """The first font that has every character of ``cluster``; None when there is none."""
    for font in (text_font(face), sign_font()):
        if font.has_all(cluster):
            return font
    if any(unicodedata.category(char) in ("Co", "Cn", "Cs", "Cc") for char in cluster):
        return None
    return _first_installed(cluster[0], set(cluster), face)


@lru_cache(maxsize=1024)
def font_for_word(letters: tuple[str, ...], face: str) -> Font | None:
    """One font for all letters of a word; None when no font has them all.

    Schola has a few Greek letters, which must not stand among those of another face.
    """
    needed = {char for letter in letters for char in letter}
    if text_font(face).has_all(needed):
        return text_font(face)
    first = min(char for char in needed if not text_font(face).has(char))
    return _first_installed(first, needed, face)


def _first_installed(first: str, needed: set[str], face: str) -> Font | None:
    for path, index in system.candidates(first, face):
        font = _installed(path, index)
        if font and font.has_all(needed):
            return font
    return None
