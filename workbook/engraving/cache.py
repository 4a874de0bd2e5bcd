"""Snippets kept on disk between builds, each in a file named by its content.

In: an address (see ``address``) and a snippet. Out: the snippet again. An entry is
written beside its place and moved there, so that several builds may share the
folder; one whose checksum is wrong is as good as none. What was used least
recently goes first when the whole grows beyond its bound.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import time
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from workbook.engraving import rows
from workbook.engraving.glyphs import Glyph
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise

SETTING = "WORKBOOK_CACHE"
"""The environment variable that names another folder for the cache."""
MOST_BYTES = 256 * 1024 * 1024
IN_MEMORY = 600
"""Snippets that one build keeps at hand, some 5 KB each."""
_FRESH = 3600
"""Seconds after which a use is noted anew; noting each would cost more than it tells."""


def folder() -> Path:
    """Where snippets are kept: the folder that SETTING names, or the user's cache folder."""
    named = os.environ.get(SETTING)
    if named:
        return Path(named)
    from platformdirs import user_cache_dir

    return Path(user_cache_dir("workbook", appauthor=False)) / "snippets"


@lru_cache(maxsize=1)
def engraving_version() -> str:
    """A digest of the modules that decide how music is drawn: a change to one is a new version."""
    text = b"".join(
        Path(__file__).with_name(f"{module}.py").read_bytes()
        for module in ("engrave", "glyphs", "ink", "rows", "score", "snippet", "line_breaks")
    )
    return hashlib.sha256(text).hexdigest()[:16]


def address(exercise: Exercise, lilypond: str, line_width: int) -> str:
    """What tells one picture from another: the music and its rooms, the length of its
    lines, the LilyPond version, ours. Nothing of student, number, page or answer is in it.
    """
    content = (
        engraving_version(),
        lilypond,
        line_width,
        exercise.staves,
        exercise.key.ascii if exercise.signed else "",
        exercise.roomy,
        [(row, row.box) for row in rows.rows(exercise)],
    )
    return hashlib.sha256(repr(content).encode()).hexdigest()


@dataclass(frozen=True)
class Size:
    """How many snippets the cache holds and their bytes in all."""

    snippets: int
    bytes: int


class Cache:
    """The snippets below one folder, at most ``most`` bytes of them.

    A folder that cannot be read or written is no error: then nothing is kept but
    what is in memory.
    """

    def __init__(self, place: Path, most: int = MOST_BYTES):
        self.place, self.most = place, most
        self._near: OrderedDict[str, Snippet] = OrderedDict()

    def get(self, name: str) -> Snippet | None:
        """The snippet at an address, or None."""
        found = self._near.get(name)
        if found is None:
            file = self._file(name)
            try:
                data = file.read_bytes()
                if time.time() - file.stat().st_mtime > _FRESH:
                    os.utime(file)
            except OSError:
                return None
            found = _unpack(data)
            if found is None:
                return None
        self._keep_near(name, found)
        return found

    def put(self, name: str, made: Snippet) -> None:
        """Keep a snippet."""
        self._keep_near(name, made)
        file = self._file(name)
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(dir=file.parent)
            with os.fdopen(handle, "wb") as out:
                out.write(_pack(made))
            os.replace(beside, file)
        except OSError:
            pass

    def _keep_near(self, name: str, made: Snippet) -> None:
        self._near[name] = made
        self._near.move_to_end(name)
        if len(self._near) > IN_MEMORY:
            self._near.popitem(last=False)

    def _file(self, name: str) -> Path:
        return self.place / name[:1] / name[1:]

    def _files(self) -> list[tuple[float, int, Path]]:
        """Time of last use, bytes and path of every entry."""
        found = []
        for file in self.place.glob("*/*"):
            try:
                told = file.stat()
            except OSError:
                continue
            found.append((told.st_mtime, told.st_size, file))
        return found

    def size(self) -> Size:
        files = self._files()
        return Size(len(files), sum(size for _, size, _ in files))

    def trim(self) -> None:
        """Remove what was used least recently until a tenth of the bound is free."""
        files = sorted(self._files())
        total = sum(size for _, size, _ in files)
        if total <= self.most:
            return
        for _, size, file in files:
            if total <= 0.9 * self.most:
                break
            file.unlink(missing_ok=True)
            total -= size

    def clear(self) -> Size:
        """Remove every entry; says what there was."""
        size = self.size()
        for _, _, file in self._files():
            file.unlink(missing_ok=True)
        self._near.clear()
        return size


def _pack(made: Snippet) -> bytes:
    blobs = [made.printed, made.written, *(glyph.outline for glyph in made.glyphs)]
    head = json.dumps(
        [
            made.width,
            made.height,
            made.x,
            made.y,
            made.slots,
            made.lines,
            [(glyph.name, glyph.box) for glyph in made.glyphs],
            [len(blob) for blob in blobs],
        ]
    ).encode()
    body = len(head).to_bytes(4, "big") + head + b"".join(blobs)
    return hashlib.sha256(body).digest() + body


def _unpack(data: bytes) -> Snippet | None:
    check, body = data[:32], data[32:]
    if hashlib.sha256(body).digest() != check:
        return None
    end = 4 + int.from_bytes(body[:4], "big")
    width, height, x, y, slots, lines, named, lengths = json.loads(body[4:end])
    blobs = []
    for length in lengths:
        blobs.append(body[end : end + length])
        end += length
    return Snippet(
        width,
        height,
        x,
        y,
        blobs[0],
        blobs[1],
        {slot: tuple(rect) for slot, rect in slots.items()},
        tuple(Glyph(name, tuple(box), outline) for (name, box), outline in zip(named, blobs[2:])),
        tuple(map(tuple, lines)),
    )
