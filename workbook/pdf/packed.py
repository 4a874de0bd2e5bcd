"""A PDF whose objects without data of their own are compressed together.

In: the texts of objects. Out: a file with object streams and a cross-reference stream
(ISO 32000-1, 7.5.7 and 7.5.8).
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Sequence
from itertools import starmap
from struct import Struct

from workbook.pdf.syntax import reference

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
_MOST = 1000
"""Objects in one stream: a reader that wants one unfolds them all."""

_ENTRY = Struct(">BQH")
Entry = tuple[int, int, int]
"""Where an object is: (1, its place in the file, 0), or (2, the number of its stream, its place
there)."""


def packed(objects: Sequence[bytes], root: int, info: int) -> bytes:
    """The file of ``objects``, numbered from 1; ``root`` is the catalog."""
    out = bytearray(HEAD)
    entries: list[Entry] = [(0, 0, 0)] * len(objects)
    small: list[tuple[int, bytes]] = []
    for number, text in enumerate(objects, 1):
        if text.endswith(b"endstream"):
            entries[number - 1] = 1, len(out), 0
            out += b"%d 0 obj\n%b\nendobj\n" % (number, text)
        else:
            small.append((number, text))
    for start in range(0, len(small), _MOST):
        some = small[start : start + _MOST]
        entries.append((1, len(out), 0))
        for index, (number, _) in enumerate(some):
            entries[number - 1] = 2, len(entries), index
        out += b"%d 0 obj\n%b\nendobj\n" % (len(entries), object_stream(some))
    digest = hashlib.sha256(out).hexdigest()[:32].encode()
    out += ending(entries, len(out), root, info, b"/ID[<%b><%b>]" % (digest, digest))
    return bytes(out)


def object_stream(objects: Sequence[tuple[int, bytes]]) -> bytes:
    """The stream of objects, each with its number."""
    places, at = [], 0
    for number, text in objects:
        places.append(b"%d %d" % (number, at))
        at += len(text) + 1
    head = b" ".join(places) + b"\n"
    data = zlib.compress(head + b"\n".join(text for _, text in objects))
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


def ending(entries: Sequence[Entry], start: int, root: int, info: int, more: bytes = b"") -> bytes:
    """The end of a file from ``start`` on: the cross-reference stream, and where it is.

    ``entries`` are those of the objects from number 1 on.
    """
    number = len(entries) + 1
    rows = starmap(_ENTRY.pack, [(0, 0, 65535), *entries, (1, start, 0)])
    data = zlib.compress(b"".join(rows))
    return (
        b"%d 0 obj\n<</Type /XRef /Size %d /W [1 8 2] /Root %b /Info %b %b"
        b"/Filter /FlateDecode /Length %d>>\nstream\n%b\nendstream\nendobj\n"
        b"startxref\n%d\n%%%%EOF\n"
        % (number, number + 1, reference(root), reference(info), more, len(data), data, start)
    )
