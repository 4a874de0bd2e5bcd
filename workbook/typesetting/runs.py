"""Text in runs: stretches of characters that are drawn from one font.

In: plain strings (no markup: ``<b>`` is three characters). Out: fonts with characters, in
drawing order. Every character comes from Workbook Text, else from Workbook Signs, else from
a font of this machine; see fonts.md. A character that no font has is reported, and never
drawn as a box.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache, lru_cache

from workbook.errors import ExitCode, WorkbookError
from workbook.typesetting import direction
from workbook.typesetting.fonts.embedded import Font
from workbook.typesetting.fonts.faces import FACES, font_for, font_for_word, sign_font, text_font

_Piece = tuple[Font | None, str]

_SHAPED = frozenset(
    {
        "ADLAM",
        "BALINESE",
        "BENGALI",
        "DEVANAGARI",
        "GUJARATI",
        "GURMUKHI",
        "JAVANESE",
        "KANNADA",
        "KHMER",
        "MALAYALAM",
        "MONGOLIAN",
        "MYANMAR",
        "NKO",
        "ORIYA",
        "SINHALA",
        "SYRIAC",
        "TAMIL",
        "TELUGU",
        "TIBETAN",
    }
)


class Unprintable(WorkbookError):
    """No font on this machine has a character; the text says which and what to do."""

    exit_code = ExitCode.BAD_INPUT

    def __init__(self, characters: set[str]):
        self.characters = frozenset(characters)
        named = ", ".join(_named(char) for char in sorted(characters))
        super().__init__(
            f"no font on this machine has {named}; write the text without it, "
            "or install a font that has it (the Noto families cover most scripts)"
        )


def _named(char: str) -> str:
    return f"U+{ord(char):04X} {unicodedata.name(char, 'without a name')}"


def runs(text: str, face: str = "regular") -> list[tuple[str, str]]:
    """``text`` as (reportlab font name, characters), in the order drawn.

    >>> runs("B♭", "bold")
    [('Workbook-Text-Bold', 'B'), ('Workbook-Signs', '♭')]

    Raises Unprintable when no font has one of the characters, ValueError for a
    face that is not in ``FACES``.
    """
    return [(font.fontName, chars) for font, chars in font_runs(text, face)]


@lru_cache(maxsize=4096)
def font_runs(text: str, face: str = "regular") -> tuple[tuple[Font, str], ...]:
    """``text`` as (font, characters), in the order drawn; raises as ``runs`` does."""
    if face not in FACES:
        raise ValueError(f"{face!r} is not a face; the faces are {', '.join(FACES)}")
    pieces = _pieces(text, face)
    printed = tuple((font, chars) for font, chars in pieces if font)
    if len(printed) < len(pieces):
        raise Unprintable({char for font, chars in pieces if font is None for char in chars})
    return printed


def unprintable(text: str) -> set[str]:
    """The characters of ``text`` that no available font has, in any of the faces."""
    return {
        char
        for face in FACES
        if not _is_plain(text, face)
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


@lru_cache(maxsize=4096)
def _pieces(text: str, face: str) -> tuple[_Piece, ...]:
    """(font, characters) in drawing order; the font is None for what nothing has."""
    if _is_plain(text, face):
        return tuple(_plain_pieces(_with_spaces(text), face))
    return tuple(_analysed(text, face))


def _is_plain(text: str, face: str) -> bool:
    return _plain(face).fullmatch(_with_spaces(text)) is not None


def _with_spaces(text: str) -> str:
    return text.replace("\u00a0", " ")


@cache
def _plain(face: str) -> re.Pattern[str]:
    """Matches text whose every character stands for itself in the shipped fonts.

    Not among them: marks, which belong to a letter, and letters outside the Latin script,
    whose word is set in one font.
    """
    codes = {*text_font(face).face.charToGlyph, *sign_font().face.charToGlyph}
    plain = [char for char in map(chr, sorted(codes)) if font_for(char, face) and _alone(char)]
    return re.compile(f"[{re.escape(''.join(plain))}]*")


def _alone(char: str) -> bool:
    kind = unicodedata.category(char)
    return char == " " or not (kind[0] in "CMZ" or _is_foreign(char))


@cache
def _signs() -> re.Pattern[str]:
    signs = "".join(map(chr, sorted(sign_font().face.charToGlyph)))
    return re.compile(f"([{re.escape(signs)}]+)")


def _plain_pieces(text: str, face: str) -> Iterator[_Piece]:
    fonts = text_font(face), sign_font()
    for place, chars in enumerate(_signs().split(text)):
        if chars:
            yield fonts[place % 2], chars


def _analysed(text: str, face: str) -> list[_Piece]:
    """The pieces of any text, found cluster by cluster."""
    pieces: list[_Piece] = []
    for cluster, word in _with_words(_visible(direction.visual(text))):
        font = font_for_word(word, face) if cluster in word else None
        for part in _set(cluster, font or font_for(cluster, face), face):
            _append(pieces, *part)
    return pieces


def _set(cluster: str, font: Font | None, face: str) -> Iterator[_Piece]:
    if font:
        yield font, cluster
        return
    # A joined Arabic form or a composed letter that no font has may
    # still be there as the plain letters it is made of.
    for form in ("NFC", "NFKC", "NFKD"):
        plain = unicodedata.normalize(form, cluster)
        font = font_for(plain, face)
        if font:
            yield font, plain
            return
    for char in cluster:
        yield font_for(char, face), char


def _append(pieces: list[_Piece], font: Font | None, chars: str) -> None:
    """Add a piece; what is drawn from one font becomes one piece."""
    # A space between two words of one face is set in that face, so that a
    # reader of the PDF meets one piece of text (it must, to turn it round).
    spaced = len(pieces) > 1 and pieces[-1][1] == " " and pieces[-2][0] is font
    if spaced and font and font.has(" "):
        pieces.pop()
        chars = f" {chars}"
    if pieces and pieces[-1][0] is font:
        chars = pieces.pop()[1] + chars
    pieces.append((font, chars))


def _with_words(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """(cluster, the non-Latin letters of its word) for every cluster of ``text``."""
    for word in re.split("( )", text):
        parts = direction.clusters(word)
        letters = tuple(part for part in parts if _is_foreign(part[0]))
        for part in parts:
            yield part, letters


def _is_foreign(char: str) -> bool:
    """Whether ``char`` is a letter outside the Latin script."""
    return char.isalpha() and not unicodedata.name(char, "LATIN").startswith("LATIN")


def _visible(text: str) -> str:
    """``text`` without what draws nothing, and with plain spaces for all others."""
    return "".join(
        " " if char.isspace() else char
        for char in text
        if char.isspace()
        or not (unicodedata.category(char) == "Cf" or 0xFE00 <= ord(char) <= 0xFE0F)
    )
