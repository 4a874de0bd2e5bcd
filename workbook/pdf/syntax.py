"""PDF objects as bytes: values written out, and references given other numbers.

In: Python values. Out: the text of a PDF object (ISO 32000-1, 7.3).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress

import pikepdf  # also registers the codec for PDFDocEncoding

from workbook.pdf.limits import MOST_READ, TooMuch, unfolded

Key = tuple[int, int]
"""What names an object in a file: object number and generation number (7.3.10)."""

_REFERENCE = re.compile(rb"(\b[0-9]++\s++[0-9]++\s++R\b)")
_STRING_OR_REFERENCE = re.compile(
    rb"(\((?:[^()\\]++|\\.)*+\)|\b[0-9]++\s++[0-9]++\s++R\b)", re.DOTALL
)
_MARKS = ("þÿ", "ÿþ", "ï»¿")
"""The byte order marks of UTF-16 and UTF-8, read in PDFDocEncoding."""
_SPECIAL = re.compile(rb"[()\\\r\n]")
_NOT_PLAIN = re.compile(rb"[^0-9A-Za-z ]")


def dictionary(entries: Mapping[str, bytes]) -> bytes:
    """A dictionary; keys are names without the slash, values are written out already."""
    return b"<<\n%b>>" % _lines(entries)


def array(items: Iterable[bytes]) -> bytes:
    """An array of items that are written out already."""
    return b"[%b ]" % b"".join(b" " + item for item in items)


def stream(entries: Mapping[str, bytes], data: bytes) -> bytes:
    """A stream of ``data``, which is encoded as ``entries`` say."""
    return with_data(dictionary({**entries, "Length": b"%d" % len(data)}), data)


def with_data(head: bytes, data: bytes) -> bytes:
    """The dictionary ``head``, which has the right /Length, and the data after it."""
    return b"%b\nstream\n%b\nendstream" % (head, data)


def with_entries(text: bytes, entries: Mapping[str, bytes]) -> bytes:
    """The dictionary ``text`` with ``entries``, which it must not have already."""
    return b"%b%b>>" % (text[:-2], _lines(entries))


def reference(number: int) -> bytes:
    """A reference to object ``number``, generation 0."""
    return b"%d 0 R" % number


def number(value: float) -> bytes:
    """A number to a millionth, without an exponent or needless zeros."""
    # + 0.0 makes a negative zero positive
    text = f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")
    return text.encode("ascii")


def rectangle(x0: float, y0: float, x1: float, y1: float) -> bytes:
    """The rectangle between two opposite corners."""
    return array(map(number, (x0, y0, x1, y1)))


def text_string(words: str) -> bytes:
    """A text string: PDFDocEncoding where that has the characters, else UTF-16 (7.9.2.2)."""
    return b"(%b)" % _NOT_PLAIN.sub(lambda found: b"\\%03o" % found[0][0], _encoded(words))


def short_string(words: str) -> bytes:
    """A text string with as few characters escaped as can be."""
    return b"(%b)" % _SPECIAL.sub(lambda found: b"\\%03o" % found[0][0], _encoded(words))


def _encoded(words: str) -> bytes:
    if words.isascii() and words.isprintable():  # the same in both, and most texts
        return words.encode("ascii")
    with suppress(UnicodeEncodeError):
        # PDFDocEncoding has no delete, and what begins as another encoding does is read so
        if "\x7f" not in words and not words.startswith(_MARKS):
            return words.encode("pdfdoc")
    return b"\xfe\xff" + words.encode("utf-16-be")


class References(dict[bytes, bytes]):
    """The new reference for each old one, as they are written; ``new`` gives the number of an
    object by its key, always the same.
    """

    def __init__(self, new: Callable[[Key], int]):
        super().__init__()
        self._new = new

    def __missing__(self, old: bytes) -> bytes:
        if old.endswith(b" 0 R"):
            key = int(old[:-4]), 0
        else:
            number, generation, _ = old.split()
            key = int(number), int(generation)
        new = self[old] = b"%d 0 R" % self._new(key)
        return new


def renumbered(text: bytes, references: References) -> bytes:
    """``text`` with its references exchanged.

    ``text`` is an object without the data of a stream. Parentheses within its literal
    strings must be escaped, as qpdf and reportlab write them; it must have no comments.
    """
    # splitting is several times as fast as calling a function for each reference
    if b"(" not in text:
        pieces = _REFERENCE.split(text)
        pieces[1::2] = map(references.__getitem__, pieces[1::2])
        return b"".join(pieces)
    pieces = _STRING_OR_REFERENCE.split(text)
    pieces[1::2] = [
        piece if piece.startswith(b"(") else references[piece] for piece in pieces[1::2]
    ]
    return b"".join(pieces)


def decoded(value: pikepdf.Object) -> bytes:
    """The decoded data of a stream, or of an array of streams with a line end between them.

    Anything but a stream is left out (7.8.2). Raises pikepdf.PdfError for damaged data, and
    Refused for those of an unknown kind or too many.
    """
    parts = [value] if isinstance(value, pikepdf.Stream) else value
    found: list[bytes] = []
    for part in parts:
        if isinstance(part, pikepdf.Stream):
            found.append(unfolded(part))
            if sum(map(len, found)) > MOST_READ:
                raise TooMuch
    return b"\n".join(found)


def _lines(entries: Mapping[str, bytes]) -> bytes:
    return b"".join(b"/%b %b\n" % (name.encode("ascii"), text) for name, text in entries.items())
