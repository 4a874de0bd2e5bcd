"""PDF objects to an open file, one after the other: memory holds what is being written.

In: objects read by pypdf, or made with its types. Out: a PDF file. What is the
same in several sources (a glyph, a font, a whole page) goes in once. See ISO
32000-1, 7.3 (objects) and 7.5 (the file).
"""

from __future__ import annotations

import hashlib
import io
import zlib
from collections.abc import Callable
from typing import BinaryIO

from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NullObject,
    StreamObject,
)

from workbook.pdf.parts import Parts

_UNPRINTED = {
    "/Metadata",
    "/PieceInfo",
    "/LastModified",
    "/StructParent",
    "/StructParents",
    "/OPI",
    "/Ref",
    "/F",
    "/FFilter",
    "/FDecodeParms",
    "/Length",
}
"""Keys of a stream that print nothing: records of its making, and files elsewhere.

ISO 32000-1, tables 5, 89 and 95. The length is written anew.
"""


class Objects:
    """The objects of one PDF under writing to ``out``; ``close`` ends the file."""

    def __init__(self, out: BinaryIO):
        self._out = out
        self._offsets: list[int] = []
        self._same: dict[bytes, int] = {}
        # 1.7 for the viewer's preference of duplex printing
        out.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def reserve(self) -> int:
        """A number for an object that is written later."""
        self._offsets.append(0)
        return len(self._offsets)

    def reference(self, number: int) -> IndirectObject:
        return IndirectObject(number, 0, self)

    def write(self, value, number: int | None = None) -> int:
        """Write ``value`` under a reserved ``number`` or a new one; returns the number."""
        text = io.BytesIO()
        value.write_to_stream(text)
        return self._written(text.getvalue(), number or self.reserve())

    def _written(self, text: bytes, number: int) -> int:
        self._offsets[number - 1] = self._out.tell()
        self._out.write(b"%d 0 obj\n%b\nendobj\n" % (number, text))
        return number

    def once(self, value) -> int:
        """Write ``value`` unless the same has been written; returns its number.

        Raises ValueError for a stream whose compressed data are damaged.
        """
        text = io.BytesIO()
        value.write_to_stream(text)
        return self._once(
            text.getvalue(), (lambda: _check(value)) if isinstance(value, StreamObject) else None
        )

    def part(self, parts: Parts, there: int, seen: dict[int, int]) -> int:
        """Write object ``there`` of ``parts`` and all that it refers to, each once;
        returns its number. ``seen`` belongs to ``parts``: numbers there to numbers here.
        """
        if there not in seen:
            seen[there] = self._once(
                parts.renumbered(there, lambda number: self.part(parts, number, seen))
            )
        return seen[there]

    def _once(self, text: bytes, check: Callable[[], None] | None = None) -> int:
        digest = hashlib.sha256(text).digest()
        if digest not in self._same:
            if check:
                check()
            self._same[digest] = self._written(text, self.reserve())
        return self._same[digest]

    def copied(self, value, seen: dict[int, int]):
        """``value`` for this file, with everything it refers to written here.

        ``value`` itself is left as it is. ``seen`` belongs to the file that it
        was read from: numbers there to numbers here, 0 for an object under way.
        """
        if isinstance(value, IndirectObject):
            return self.reference(self._number(value, seen))
        if isinstance(value, ArrayObject):
            return ArrayObject(self.copied(one, seen) for one in value)
        if not isinstance(value, DictionaryObject):
            return NullObject() if value is None else value
        stream = isinstance(value, StreamObject)
        copy = StreamObject() if stream else DictionaryObject()
        for key in value:
            if not (stream and key in _UNPRINTED):
                copy[NameObject(key)] = self.copied(value.raw_get(key), seen)
        if stream:
            copy.set_data(value._data)
        return copy

    def close(self, root: int, info: int) -> None:
        """Write the table of objects; ``root`` is the catalog, ``info`` the title and author."""
        start = self._out.tell()
        rows = "".join(f"{offset:010d} 00000 n \n" for offset in self._offsets)
        self._out.write(
            f"xref\n0 {len(self._offsets) + 1}\n0000000000 65535 f \n{rows}"
            f"trailer\n<< /Size {len(self._offsets) + 1} /Root {root} 0 R "
            f"/Info {info} 0 R >>\nstartxref\n{start}\n%%EOF\n".encode()
        )

    def _number(self, reference: IndirectObject, seen: dict[int, int]) -> int:
        there = reference.idnum
        if there not in seen:
            seen[there] = 0
            copy = self.copied(reference.get_object(), seen)
            # a number given away within itself is kept: the object refers to itself
            seen[there] = self.write(copy, seen[there]) if seen[there] else self.once(copy)
        elif not seen[there]:
            seen[there] = self.reserve()
        return seen[there]


def _check(stream: StreamObject) -> None:
    filters = stream.get("/Filter")
    first = filters[0] if isinstance(filters, ArrayObject) and filters else filters
    if first == "/FlateDecode":
        try:
            zlib.decompressobj().decompress(stream._data)
        except zlib.error as error:
            raise ValueError(f"damaged data: {error}") from None
