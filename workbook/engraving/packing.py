"""A snippet as bytes: what one file of the cache holds.

In: the address of a snippet and the snippet. Out: bytes, and from them the snippet again. The
checksum covers the address, so bytes that were moved to another address are rejected.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Iterable
from typing import Any

from workbook.engraving.glyphs import Glyph
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Slot

_CHECK = 32
_GLYPH = re.compile(r"G[0-9a-f]{10}\Z")
_ZLIB = b"x"
"""The first byte of compressed data, RFC 1950, 2.2: deflate with a window of 32 KB."""


def pack(name: str, made: Snippet) -> bytes:
    """The snippet ``made`` of the address ``name``."""
    blobs = [made.printed, made.written, *(glyph.outline for glyph in made.glyphs)]
    head = json.dumps(
        [
            made.width,
            made.height,
            made.x,
            made.y,
            {str(slot): room for slot, room in made.slots.items()},
            made.lines,
            made.staff,
            [(glyph.name, glyph.box) for glyph in made.glyphs],
            [len(blob) for blob in blobs],
        ]
    ).encode()
    body = len(head).to_bytes(4, "big") + head + b"".join(blobs)
    return _checksum(name, body) + body


def unpack(name: str, data: bytes) -> Snippet | None:
    """The snippet of the address ``name``; None if ``data`` is not what ``pack`` made of it."""
    body = data[_CHECK:]
    if _checksum(name, body) != data[:_CHECK]:
        return None
    try:
        return _snippet(body)
    except (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError):
        return None  # the checksum is right, but another program computed it


def _checksum(name: str, body: bytes) -> bytes:
    digest = hashlib.sha256(name.encode())
    digest.update(body)
    return digest.digest()


def _snippet(body: bytes) -> Snippet:
    end = 4 + int.from_bytes(body[:4], "big")
    width, height, x, y, slots, lines, staff, glyphs, lengths = json.loads(body[4:end])
    blobs = []
    for length in lengths:
        blobs.append(body[end : end + length])
        end += length
    printed, written, *outlines = blobs
    if end != len(body) or min(lengths) < 0 or not all(b[:1] == _ZLIB for b in blobs if b):
        raise ValueError("the parts have other lengths, or are not compressed")
    _numbers((width, height, x, y), 4)
    return Snippet(
        width,
        height,
        x,
        y,
        printed,
        written,
        {Slot.parse(slot): _numbers(rect, 4) for slot, rect in slots.items()},
        tuple(
            Glyph(_glyph_name(name), _numbers(box, 4), outline)
            for (name, box), outline in zip(glyphs, outlines, strict=True)
        ),
        tuple(_numbers(line, 2) for line in lines),
        _numbers(staff, 2),
    )


def _numbers(values: Iterable[Any], count: int) -> Any:
    found = tuple(values)
    if len(found) != count or not math.isfinite(sum(found)):
        raise ValueError("not so many numbers")
    return found


def _glyph_name(value: str) -> str:
    if not _GLYPH.match(value):
        raise ValueError("not the name of a glyph")
    return value
