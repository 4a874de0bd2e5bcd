"""A PDF that ``assemble`` wrote, in parts: its objects as bytes, nothing parsed.

In: the file's bytes. Out: the pages' numbers, and each object with other numbers in
its references. Ten times as quick as reading it with a library that must expect
any PDF. Relies on how reportlab writes: one table of objects, one list of pages, no
object within a stream. See ISO 32000-1, 7.3.10 (indirect objects) and 7.5.4 (the table).
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable

_REFERENCE = re.compile(rb"(?<![\w.])(\d+) 0 R\b")
_KIDS = re.compile(rb"/Kids \[([^\]]*)\]")
_TRANSITION = re.compile(rb"/Trans <<\s*>>\s*")


class Parts:
    """The objects of one file. Raises ValueError when it is not as ``assemble`` writes it."""

    def __init__(self, data: bytes):
        self._data = data
        try:
            start = int(data[data.rindex(b"startxref") + 9 :].split()[0])
            rows = data[start : data.index(b"trailer", start)].split(b"\n")[2:]
            offsets = {
                number: int(row[:10]) for number, row in enumerate(rows) if row[17:18] == b"n"
            }
            self._bodies = self._slice(offsets, start)
        except (ValueError, IndexError) as error:
            raise ValueError(f"no table of objects: {error}") from None
        lists = [
            (number, kids[1])
            for number, body in self._bodies.items()
            if b"/Type /Pages" in body[-64:] and (kids := _KIDS.search(body))
        ]
        if len(lists) != 1:
            raise ValueError(f"{len(lists)} lists of pages")
        ((self.tree, kids),) = lists
        """The number of the list of pages, which each page names as its parent."""
        self.pages = [int(number) for number in _REFERENCE.findall(kids)]
        """The numbers of the pages, in order."""
        for number in self.pages:
            self._bodies[number] = _TRANSITION.sub(b"", self._bodies[number])

    def _slice(self, offsets: dict[int, int], end: int) -> dict[int, bytes]:
        bodies, ordered = {}, sorted(offsets.items(), key=lambda item: item[1])
        for (number, offset), (_, after) in zip(ordered, [*ordered[1:], (0, end)]):
            head = b"%d 0 obj\n" % number
            if not self._data.startswith(head, offset):
                raise ValueError(f"object {number} is not where the table has it")
            bodies[number] = self._data[
                offset + len(head) : self._data.rindex(b"endobj", offset, after)
            ].rstrip(b"\n")
        return bodies

    def renumbered(self, number: int, new: Callable[[int], int]) -> bytes:
        """An object with ``new(n)`` in place of each reference to object ``n``."""
        head, stream, rest = self._bodies[number].partition(b"\nstream\n")
        head = _REFERENCE.sub(lambda found: b"%d 0 R" % new(int(found[1])), head)
        return head + stream + rest

    def dictionary(self, number: int) -> bytes:
        """An object as text, without its stream."""
        return self._bodies[number].partition(b"\nstream\n")[0]

    def stream(self, number: int) -> bytes:
        """The data of a stream. Raises KeyError for another object, zlib.error for damage."""
        head, found, rest = self._bodies[number].partition(b"\nstream\n")
        if not found or b"/FlateDecode" not in head:
            raise KeyError(number)
        return zlib.decompressobj().decompress(rest)
