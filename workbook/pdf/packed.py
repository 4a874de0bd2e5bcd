"""A PDF whose objects without data of their own are compressed together.

In: the texts of objects. Out: a file with object streams and a cross-reference stream
(ISO 32000-1, 7.5.7 and 7.5.8).
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Sequence
from struct import Struct
from typing import NamedTuple

from workbook.pdf.syntax import reference

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
_MOST = 1000
"""Objects in one stream: a reader that wants one unfolds them all."""

LEVEL = 3
"""How hard pages and objects are compressed: in half of the time that level 6 takes, and files are
a twenty-fifth larger."""

_ENDING = re.compile(
    rb"[0-9]+ 0 obj\n<</Type /XRef /Size ([0-9]+) /W \[1 5 2\] /Root ([0-9]+) 0 R [^>]*+"
    rb"(?:>[^>]++)*>>\nstream\n"
)
_START = re.compile(rb"\nendstream\nendobj\nstartxref\n([0-9]{1,15})\n%%EOF\n\Z")
_FURTHEST = 64
"""Bytes at the end of a file within which ``_START`` is found."""
_ENTRY = Struct(">BBIH")
"""A row of the cross-reference table: kind, place in five bytes, and what else the kind has."""
_FREE_LIST = _ENTRY.pack(0, 0, 0, 65535)
"""The row of number 0, which heads the list of free numbers."""


class Table:
    """Where the objects of a file are, by number from 1 on: a row of eight bytes for each, as the
    cross-reference stream has it. A print job has hundreds of thousands.
    """

    def __init__(self, count: int = 0) -> None:
        self._rows = bytearray(_ENTRY.size * count)

    def __len__(self) -> int:
        return len(self._rows) // _ENTRY.size

    def reserve(self) -> int:
        """A new number."""
        self._rows += bytes(_ENTRY.size)
        return len(self)

    def put(self, number: int, place: int) -> None:
        """The object is not in a stream, but at this offset from the start of the file."""
        self._put(number, 1, place, 0)

    def put_within(self, number: int, stream: int, index: int) -> None:
        """The object is in an object stream, at this place there."""
        self._put(number, 2, stream, index)

    def _put(self, number: int, kind: int, place: int, more: int) -> None:
        high, low = divmod(place, 1 << 32)
        _ENTRY.pack_into(self._rows, _ENTRY.size * (number - 1), kind, high, low, more)

    def ending(self, start: int, root: int, info: int, more: bytes = b"") -> bytes:
        """The end of a file from ``start`` on: the cross-reference stream, and where it is."""
        number = self.reserve()
        self.put(number, start)
        folding = zlib.compressobj(LEVEL)  # no copy of all rows
        rows = folding.compress(_FREE_LIST), folding.compress(self._rows)
        data = b"".join((*rows, folding.flush()))
        return (
            b"%d 0 obj\n<</Type /XRef /Size %d /W [1 5 2] /Root %b /Info %b %b"
            b"/Filter /FlateDecode /Length %d>>\nstream\n%b\nendstream\nendobj\n"
            b"startxref\n%d\n%%%%EOF\n"
            % (
                number,
                number + 1,
                reference(root),
                reference(info),
                more,
                len(data),
                data,
                start,
            )
        )


class Found(NamedTuple):
    """A table read back: the number of the catalog, the places of objects that are not in a stream,
    and the numbers of the streams that hold the others.
    """

    root: int
    places: dict[int, int]
    streams: list[int]


def read_table(data: bytes) -> Found | None:
    """The table of a file that ends as ``Table.ending`` writes it, with all objects in the one
    file; None for any other.
    """
    end = max(len(data) - _FURTHEST, 0)
    start = _START.search(data, end)
    head = start and _ENDING.match(data, int(start[1]))
    if not start or not head:
        return None
    unfolding, size = zlib.decompressobj(), _ENTRY.size * int(head[1])
    try:
        rows = unfolding.decompress(data[head.end() : start.start()], size + 1)
    except zlib.error:
        return None
    if len(rows) != size or not unfolding.eof:
        return None
    places, streams = {}, set[int]()
    for number, (kind, high, low, _) in enumerate(_ENTRY.iter_unpack(rows)):
        if kind == 1:
            places[number] = (high << 32) + low
        elif kind == 2:
            streams.add(low)
    return Found(int(head[2]), places, sorted(streams))


def packed(objects: Sequence[bytes], parts: Sequence[bytes], root: int, info: int) -> bytes:
    """The file of ``objects``, numbered from 1, and of ``parts``, numbered on from them.

    ``parts`` are compressed apart, so that a reader that only shows pages need not unfold them.
    ``root`` is the catalog.
    """
    out = bytearray(HEAD)
    table = Table(len(objects) + len(parts))
    small: list[tuple[int, bytes]] = []
    for number, text in enumerate(objects, 1):
        if text.endswith(b"endstream"):
            table.put(number, len(out))
            out += b"%d 0 obj\n%b\nendobj\n" % (number, text)
        else:
            small.append((number, text))
    for group in (small, list(enumerate(parts, len(objects) + 1))):
        for start in range(0, len(group), _MOST):
            some = group[start : start + _MOST]
            stream = table.reserve()
            table.put(stream, len(out))
            for index, (number, _) in enumerate(some):
                table.put_within(number, stream, index)
            out += b"%d 0 obj\n%b\nendobj\n" % (stream, object_stream(some))
    digest = hashlib.sha256(out).hexdigest()[:32].encode()
    out += table.ending(len(out), root, info, b"/ID[<%b><%b>]" % (digest, digest))
    return bytes(out)


def object_stream(objects: Sequence[tuple[int, bytes]]) -> bytes:
    """The stream of objects, each with its number."""
    places, at = [], 0
    for number, text in objects:
        places.append(b"%d %d" % (number, at))
        at += len(text) + 1
    head = b" ".join(places) + b"\n"
    data = zlib.compress(head + b"\n".join(text for _, text in objects), LEVEL)
    return (
        b"<</Type /ObjStm /N %d /First %d /Filter /FlateDecode /Length %d>>\nstream\n%b\nendstream"
        % (len(objects), len(head), len(data), data)
    )


def unpacked(head: bytes, data: bytes) -> list[tuple[int, bytes]]:
    """The objects of a stream that ``object_stream`` wrote: ``data`` unfolded, ``head`` of it."""
    first = int(head.partition(b"/First ")[2].split()[0])
    numbers = list(map(int, data[:first].split()))
    starts = [first + place for place in numbers[1::2]]
    ends = [*starts[1:], len(data) + 1]
    return [
        (number, data[start : end - 1]) for number, start, end in zip(numbers[::2], starts, ends)
    ]
