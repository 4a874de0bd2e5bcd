"""Fonts as they are embedded in a PDF: the characters that a document needs, in subsets.

In: a font file, and the texts of documents. Out: the objects of its subsets (ISO 32000-1, 9.6.3,
9.6.4 and 9.10.3). The first subset of a shipped font is the same in every document: it has the
characters that our pages are full of, each with its ASCII code, so that it is made once and a print
job stores it once. All other characters of a document are in subsets of its own.
"""

from __future__ import annotations

import hashlib
import string
import threading
import zlib
from functools import lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfdoc
from reportlab.pdfbase.ttfonts import TTFont

from workbook.typesetting.pdf_syntax import ESCAPED, number

USUAL = f"{string.ascii_letters}{string.digits} #&()+,-./:;?"
"""The characters of the first subset of a shipped font, as far as it has them."""
_MORE = "·°½ø–—’“”"
"""Others in the first subset, with codes from 128 on."""
_CODES = 256
"""Codes of a subset."""
_BLOCK = 100
"""The most pairs in one block of a character map, as its format has it (from memory)."""
_SYMBOLIC, _NONSYMBOLIC = 4, 32
"""Flags of a font descriptor (table 123)."""


class Font(TTFont):  # type: ignore[misc]  # reportlab has no types
    """A font that documents in several threads may share.

    ``named`` is the name that pages have for a shipped font; "" for another one.
    """

    def __init__(self, name: str, path: Path, index: int, named: str = ""):
        super().__init__(name, str(path), subfontIndex=index, shapable=False, asciiReadable=False)
        self._reading = threading.Lock()
        self._named = named
        self._first = self._usual_codes() if named else {}
        self.shown = {chr(char): ESCAPED[code] for char, code in self._first.items()}
        """How each usual character is written in a string of the first subset."""

    def _usual_codes(self) -> dict[int, int]:
        has = self.face.charToGlyph
        codes = {ord(char): ord(char) for char in USUAL if ord(char) in has}
        more = [ord(char) for char in _MORE if ord(char) in has]
        if not codes:  # signs
            more = sorted(has)
        return codes | dict(zip(more, range(128, _CODES)))

    def has(self, char: str) -> bool:
        return bool(self.face.charToGlyph.get(ord(char), 0))

    def has_all(self, chars: str | set[str]) -> bool:
        return all(map(self.has, chars))

    def width(self, chars: str) -> float:
        """The width of ``chars`` at a size of 1 point; the font has all of them."""
        total: float = 0.001 * sum(map(self.face.charWidths.__getitem__, map(ord, chars)))
        return total

    def splitString(  # noqa: N802 (reportlab's name)
        self, text: str, doc: pdfdoc.PDFDocument, encoding: str = "utf-8"
    ) -> list[tuple[int, bytes]]:
        """Pieces of ``text``, each the number of a subset and the codes in it."""
        self._begin(doc)
        pieces: list[tuple[int, bytes]] = super().splitString(text, doc, encoding)
        return pieces

    def getSubsetInternalName(  # noqa: N802 (reportlab's name)
        self, subset: int, doc: pdfdoc.PDFDocument
    ) -> str:
        """The name of a subset on the pages of ``doc``, which will embed the font."""
        state = self._begin(doc)
        if state.internalName is None and self._named:
            state.internalName = self._named
            doc.fontMapping[self.fontName] = f"/{self._named}"
            doc.delayedFonts.append(self)
        name: str = super().getSubsetInternalName(subset, doc)
        return name

    def _begin(self, doc: pdfdoc.PDFDocument) -> TTFont.State:
        """What ``doc`` uses of the font, which is its first subset to begin with."""
        if doc not in self.state and self._first:
            state = self._assignState(doc)
            state.assignments = dict(self._first)
            subset = [0] * (1 + max(self._first.values()))
            for char, code in self._first.items():
                subset[code] = char
            state.subsets, state.nextCode = [subset], _CODES
        return self._assignState(doc)

    def addObjects(self, doc: pdfdoc.PDFDocument) -> None:  # noqa: N802 (reportlab's name)
        """Put the characters that ``doc`` uses into it."""
        state = self._begin(doc)
        state.frozen = 1
        for place, subset in enumerate(state.subsets):
            with self._reading:  # one file, read from one place at a time
                made = _subset(self, tuple(subset))
            name = self.getSubsetInternalName(place, doc)[1:]
            font = made.added(doc, name)
            doc.Reference(font, name)
            doc.idToObject["BasicFonts"].dict[name] = font
        del self.state[doc]


class _Written(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """An object whose text is known."""

    __RefOnly__ = 1

    def __init__(self, text: bytes):
        self._text = text

    def format(self, document: pdfdoc.PDFDocument) -> bytes:  # noqa: ARG002 (reportlab's call)
        return self._text


class _Subset:
    """The objects of one subset; ``chars`` are its characters by their codes, 0 for none."""

    def __init__(self, font: Font, chars: tuple[int, ...]):
        face = font.face
        # another subset of a font has another name (9.6.4)
        digest = hashlib.sha256(repr(chars).encode()).digest()
        tag = "".join(string.ascii_uppercase[byte % 26] for byte in digest[:6])
        self._name = f"{tag}+{(face.name + face.subfontNameX).decode('ascii')}"
        data = face.makeSubset(list(chars))
        self._file = _stream(data, b"/Length1 %d " % len(data))
        self._unicode = _stream(_to_unicode(self._name, chars).encode())
        box = " ".join(map(number, face.bbox))
        self._described = (
            f"<< /Type /FontDescriptor /FontName /{self._name} "
            f"/Flags {face.flags & ~_NONSYMBOLIC | _SYMBOLIC} /FontBBox [ {box} ] "
            f"/Ascent {number(face.ascent)} /Descent {number(face.descent)} "
            f"/CapHeight {number(face.capHeight)} /ItalicAngle {number(face.italicAngle)} "
            f"/StemV {number(face.stemV)} /MissingWidth {number(face.defaultWidth)} /FontFile2 "
        ).encode()
        widths = " ".join(number(face.getCharWidth(char)) for char in chars)
        self._dictionary = (
            f"<< /Type /Font /Subtype /TrueType /BaseFont /{self._name} /FirstChar 0 "
            f"/LastChar {len(chars) - 1} /Widths [ {widths} ] "
        ).encode()

    def added(self, doc: pdfdoc.PDFDocument, name: str) -> _Written:
        """The font's dictionary, its other objects added to ``doc``; pages call it ``name``."""
        file, unicode = (_added(doc, one) for one in (self._file, self._unicode))
        described = _added(doc, b"%b%b >>" % (self._described, file))
        return _Written(
            b"%b/Name /%b /ToUnicode %b /FontDescriptor %b >>"
            % (self._dictionary, name.encode("ascii"), unicode, described)
        )


@lru_cache(maxsize=64)
def _subset(font: Font, chars: tuple[int, ...]) -> _Subset:
    return _Subset(font, chars)


def _added(doc: pdfdoc.PDFDocument, text: bytes) -> bytes:
    """A reference to a new object of ``doc``."""
    reference: bytes = doc.Reference(_Written(text)).format(doc)
    return reference


def _stream(data: bytes, more: bytes = b"") -> bytes:
    """A compressed stream with ``more`` in its dictionary."""
    folded = zlib.compress(data, 9)
    head = b"<< %b/Filter /FlateDecode /Length %d >>" % (more, len(folded))
    return b"%b\nstream\n%b\nendstream" % (head, folded)


def _to_unicode(name: str, chars: tuple[int, ...]) -> str:
    """The table by which text can be copied (9.10.3); it says nothing of codes without a
    character (ISO 14289-1, 7.21.7).
    """
    pairs = [
        f"<{code:02X}> <{chr(char).encode('utf-16-be').hex().upper()}>"
        for code, char in enumerate(chars)
        if char
    ]
    blocks = [pairs[start : start + _BLOCK] for start in range(0, len(pairs), _BLOCK)]
    return "\n".join(
        [
            "/CIDInit /ProcSet findresource begin",
            "12 dict begin",
            "begincmap",
            f"/CIDSystemInfo << /Registry ({name}) /Ordering ({name}) /Supplement 0 >> def",
            f"/CMapName /{name} def",
            "/CMapType 2 def",
            "1 begincodespacerange",
            f"<00> <{len(chars) - 1:02X}>",
            "endcodespacerange",
            *(
                line
                for block in blocks
                for line in (f"{len(block)} beginbfchar", *block, "endbfchar")
            ),
            "endcmap",
            "CMapName currentdict /CMap defineresource pop",
            "end",
            "end",
        ]
    )
