"""A PDF written object by object: memory holds only what is being written.

In: objects of other files, and the text of new ones. Out: a PDF in an open file.
Objects that are the same in several files (a glyph, a font, a whole page) are written
once. Small ones of our own files are compressed together. See ISO 32000-1, 7.3 (objects) and 7.5
(file structure).
"""

from __future__ import annotations

import hashlib
import weakref
from collections.abc import Mapping
from typing import BinaryIO, Protocol

from workbook.pdf.packed import HEAD, Table, object_stream
from workbook.pdf.syntax import Key, References, renumbered

_TOGETHER = 500
"""Objects that are compressed together: memory holds no more."""


class Source(Protocol):
    """A file whose objects are copied."""

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest: b"" if it is not a stream.

        Raises ValueError for damaged data.
        """


class Writer:
    """Writes one PDF to ``out``; ``close`` completes the file."""

    def __init__(self, out: BinaryIO):
        self._out = out
        self._table = Table()
        self._waiting: list[tuple[int, bytes]] = []
        self._numbers: dict[bytes, int] = {}
        out.write(HEAD)

    def reserve(self) -> int:
        """A number for an object that is written later."""
        return self._table.reserve()

    def write(self, text: bytes, number: int | None = None) -> int:
        """Write an object under a reserved ``number`` or a new one; returns the number."""
        number = number or self.reserve()
        self._table.put(number, self._out.tell())
        self._out.write(b"%d 0 obj\n%b\nendobj\n" % (number, text))
        return number

    def pack(self, text: bytes, number: int | None = None) -> int:
        """Write an object other than a stream, as ``write`` does, compressed with others."""
        number = number or self.reserve()
        self._waiting.append((number, text))
        if len(self._waiting) == _TOGETHER:
            self._write_waiting()
        return number

    def _write_waiting(self) -> None:
        if self._waiting:
            stream = self.write(object_stream(self._waiting))
            for index, (number, _) in enumerate(self._waiting):
                self._table.put_within(number, stream, index)
            self._waiting.clear()

    def once(self, text: bytes, kind: bytes = b"", small: bool = False) -> int:
        """Write an object unless the same has been written; returns its number.

        Objects of different ``kind`` are never the same. ``small`` ones are packed.
        """
        digest = hashlib.sha256(kind + text).digest()
        if digest not in self._numbers:
            self._numbers[digest] = (self.pack if small else self.write)(text)
        return self._numbers[digest]

    def close(self, root: int, info: int) -> None:
        """Write the cross-reference stream; ``root`` is the catalog, ``info`` title and author."""
        self._write_waiting()
        self._out.write(self._table.ending(self._out.tell(), root, info))


class Copier:
    """Copies objects of ``source`` to ``writer``, with everything that they refer to.

    ``known`` has the objects that are in the new file already, by their keys in the source.
    With ``packed``, objects that are no streams are compressed together.
    """

    def __init__(
        self,
        writer: Writer,
        source: Source,
        known: Mapping[Key, int] | None = None,
        packed: bool = False,
    ):
        self._writer, self._source, self._packed = writer, source, packed
        self._numbers: dict[Key, int] = dict(known or {})
        """The new number of each object; 0 while it is being copied and has none yet."""
        own = weakref.proxy(self)  # a cycle would keep the file in memory until a collection
        self._references = References(lambda key: own.copy(key))  # noqa: PLW0108 (a method of it)

    def copy(self, key: Key, kind: bytes = b"") -> int:
        """Copy one object unless it has been copied; returns its new number.

        ``kind`` as in ``Writer.once``. Raises what ``source`` raises.
        """
        number = self._numbers.get(key)
        if number is None:
            self._numbers[key] = 0
            head, data = self._source.object(key)
            text = self.text(head) + data
            # an object that has been given a number by now refers to itself
            reserved = self._numbers[key]
            writer = self._writer
            small = self._packed and not data
            number = writer.write(text, reserved) if reserved else writer.once(text, kind, small)
            self._numbers[key] = number
        elif not number:
            number = self._numbers[key] = self._writer.reserve()
        return number

    def text(self, text: bytes) -> bytes:
        """The text of an object of the source, with references to copies."""
        return renumbered(text, self._references)
