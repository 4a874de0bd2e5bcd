"""A PDF written object by object: memory holds only what is being written.

In: objects of other files, and the text of new ones. Out: a PDF in an open file.
Objects that are the same in several files (a glyph, a font, a whole page) are written
once. See ISO 32000-1, 7.3 (objects) and 7.5 (file structure).
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import BinaryIO, Protocol

from workbook.pdf.syntax import Key, renumbered


class Source(Protocol):
    """A file whose objects are copied."""

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest: b"" where it is no stream.

        Raises ValueError for damaged data.
        """


class Writer:
    """Writes one PDF to ``out``; ``close`` completes the file."""

    def __init__(self, out: BinaryIO):
        self._out = out
        self._offsets: list[int] = []
        self._numbers: dict[bytes, int] = {}
        # 1.7 for the viewer preference for duplex printing
        out.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def reserve(self) -> int:
        """A number for an object that is written later."""
        self._offsets.append(0)
        return len(self._offsets)

    def write(self, text: bytes, number: int | None = None) -> int:
        """Write an object under a reserved ``number`` or a new one; returns the number."""
        number = number or self.reserve()
        self._offsets[number - 1] = self._out.tell()
        self._out.write(b"%d 0 obj\n%b\nendobj\n" % (number, text))
        return number

    def once(self, text: bytes, kind: bytes = b"") -> int:
        """Write an object unless the same has been written; returns its number.

        Objects of different ``kind`` are never the same.
        """
        digest = hashlib.sha256(kind + text).digest()
        if digest not in self._numbers:
            self._numbers[digest] = self.write(text)
        return self._numbers[digest]

    def close(self, root: int, info: int) -> None:
        """Write the cross-reference table; ``root`` is the catalog, ``info`` title and author."""
        start = self._out.tell()
        rows = "".join(f"{offset:010d} 00000 n \n" for offset in self._offsets)
        self._out.write(
            f"xref\n0 {len(self._offsets) + 1}\n0000000000 65535 f \n{rows}"
            f"trailer\n<< /Size {len(self._offsets) + 1} /Root {root} 0 R "
            f"/Info {info} 0 R >>\nstartxref\n{start}\n%%EOF\n".encode()
        )


class Copier:
    """Copies objects of ``source`` to ``writer``, with everything that they refer to.

    ``known`` has the objects that are in the new file already, by their keys in the source.
    """

    def __init__(self, writer: Writer, source: Source, known: Mapping[Key, int] | None = None):
        self._writer, self._source = writer, source
        self._numbers: dict[Key, int] = dict(known or {})
        """The new number of each object; 0 while it is being copied and has none yet."""

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
            number = writer.write(text, reserved) if reserved else writer.once(text, kind)
            self._numbers[key] = number
        elif not number:
            number = self._numbers[key] = self._writer.reserve()
        return number

    def text(self, text: bytes) -> bytes:
        """The text of an object of the source, with references to copies."""
        return renumbered(text, self.copy)
