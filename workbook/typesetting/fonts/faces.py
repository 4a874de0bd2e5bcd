"""Which font has which character: the shipped faces, then fonts of this machine.

In: characters and a face. Out: fonts, known to reportlab by their names. Each file is
loaded once per process, when it is first needed; threads may ask at the same time.
"""

from __future__ import annotations

import struct
import threading
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError

from workbook.typesetting.fonts import system
from workbook.typesetting.fonts.embedded import Font

FACES = ("regular", "bold", "italic")
_FOLDER = Path(__file__).parent
_SIGNS = "Workbook-Signs"
_NAMED = {
    _SIGNS: "Signs",
    **{f"Workbook-Text-{one.capitalize()}": one.capitalize() for one in FACES},
}
"""The name that pages give to each shipped font, the same in all documents."""
_LOADING = threading.RLock()


@cache
def _register(name: str, path: Path, index: int) -> Font:
    """Load a font and make it known to reportlab; raises what a bad file makes it raise."""
    font = Font(name, path, index, _NAMED.get(name, ""))
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
