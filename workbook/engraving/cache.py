"""Snippets kept on disk between builds, each in a file named by what it shows.

In: an address (see ``address``) and a snippet. Out: the snippet again. An entry is written
to a temporary file and moved into place, so that several builds may share the folder; an
entry whose checksum is wrong is treated as missing. When the whole grows beyond its limit,
the entries that were used least recently are removed.
"""

from __future__ import annotations

import hashlib
import json
import logging
import os
import re
import tempfile
import threading
import time
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from workbook.engraving import rows
from workbook.engraving.glyphs import Glyph
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise, Slot

SETTING = "WORKBOOK_CACHE"
"""The environment variable that names another folder for the cache."""
MOST_BYTES = 256 * 1024 * 1024
IN_MEMORY = 600
"""Snippets that one build keeps in memory, some 5 KB each."""
_FRESH = 3600
"""Seconds: a use is recorded at most this often, which saves writes; a temporary file older
than this is left over from a process that was ended."""
_ENTRY = re.compile(r"[0-9a-f]/[0-9a-f]{63}\Z")
_TEMPORARY = ".tmp"

_log = logging.getLogger(__name__)


def folder() -> Path:
    """Where snippets are kept: the folder that SETTING names, or the user's cache folder."""
    named = os.environ.get(SETTING)
    if named:
        return Path(named)
    from platformdirs import user_cache_dir

    return Path(user_cache_dir("workbook", appauthor=False)) / "snippets"


def engraving_modules() -> tuple[Path, ...]:
    """The modules whose code decides how music is drawn: every one in this package, and
    those that name keys and pitches.
    """
    here = Path(__file__).parent
    music = here.parent / "music"
    return (*sorted(here.glob("*.py")), music / "keys.py", music / "pitch.py")


@lru_cache(maxsize=1)
def engraving_version() -> str:
    """A digest of our code that decides how music is drawn: after any change of it, pictures
    made before are not used.
    """
    digest = hashlib.sha256()
    for module in engraving_modules():
        digest.update(module.read_bytes())
    return digest.hexdigest()[:16]


def address(exercise: Exercise, lilypond: str, line_width: int) -> str:
    """What tells one picture from another, as 64 hexadecimal digits: the music and the space
    kept for boxes, the length of its lines in millimetres, LilyPond's version and ours.

    It holds nothing of student, number, page or answer.
    """
    content = (
        engraving_version(),
        lilypond,
        line_width,
        exercise.staves,
        exercise.key.ascii if exercise.signed else "",
        exercise.roomy,
        [(row, row.box) for row in rows.box_rows(exercise)],
    )
    return hashlib.sha256(repr(content).encode()).hexdigest()


@dataclass(frozen=True)
class Size:
    """How many snippets the cache holds, and their total size in bytes."""

    snippets: int
    bytes: int


class Cache:
    """The snippets in one folder, at most ``most`` bytes of them. Threads may share it.

    A folder that cannot be read or written is not an error: snippets are then kept in memory
    only.
    """

    def __init__(self, place: Path, most: int = MOST_BYTES) -> None:
        self.place, self.most = place, most
        self._memory: OrderedDict[str, Snippet] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, name: str) -> Snippet | None:
        """The snippet at the address ``name``, or None."""
        with self._lock:
            found = self._memory.get(name)
        if found is None:
            found = self._load(self._file(name))
        if found is not None:
            self._remember(name, found)
        return found

    def put(self, name: str, made: Snippet) -> None:
        """Keep a snippet at the address ``name``."""
        self._remember(name, made)
        try:
            _write(self._file(name), _pack(made))
        except OSError as error:
            _log.info("a snippet could not be kept in %s: %s", self.place, error)

    def _load(self, file: Path) -> Snippet | None:
        try:
            data = file.read_bytes()
            if time.time() - file.stat().st_mtime > _FRESH:
                os.utime(file)
        except OSError:
            return None
        found = _unpack(data)
        if found is None:
            _log.info("%s is damaged and is not used", file)
        return found

    def _remember(self, name: str, made: Snippet) -> None:
        with self._lock:
            self._memory[name] = made
            self._memory.move_to_end(name)
            if len(self._memory) > IN_MEMORY:
                self._memory.popitem(last=False)

    def _file(self, name: str) -> Path:
        return self.place / name[:1] / name[1:]

    def _entries(self) -> Iterator[tuple[float, int, Path]]:
        """Time of last use, size in bytes, and path of every entry."""
        for file in self.place.glob("*/*"):
            if _ENTRY.match(file.relative_to(self.place).as_posix()):
                try:
                    status = file.stat()
                except OSError:
                    continue  # another build has just removed it
                yield status.st_mtime, status.st_size, file

    def size(self) -> Size:
        sizes = [size for _, size, _ in self._entries()]
        return Size(len(sizes), sum(sizes))

    def trim(self) -> None:
        """Remove what was used least recently until a tenth of the limit is free, and the
        temporary files of processes that were ended.
        """
        self._tidy()
        entries = sorted(self._entries())
        total = sum(size for _, size, _ in entries)
        if total <= self.most:
            return
        for _, size, file in entries:
            if total <= 0.9 * self.most:
                break
            file.unlink(missing_ok=True)
            total -= size

    def clear(self) -> Size:
        """Remove every entry; returns what there was."""
        self._tidy()
        size = self.size()
        for _, _, file in self._entries():
            file.unlink(missing_ok=True)
        with self._lock:
            self._memory.clear()
        return size

    def _tidy(self) -> None:
        for file in self.place.glob(f"*/*{_TEMPORARY}"):
            try:
                if time.time() - file.stat().st_mtime > _FRESH:
                    file.unlink()
            except OSError:
                continue  # another build has just removed it


def _write(file: Path, data: bytes) -> None:
    """Write ``data`` so that ``file`` is never there in part."""
    file.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(suffix=_TEMPORARY, dir=file.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        temporary.replace(file)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def _pack(made: Snippet) -> bytes:
    blobs = [made.printed, made.written, *(glyph.outline for glyph in made.glyphs)]
    head = json.dumps(
        [
            made.width,
            made.height,
            made.x,
            made.y,
            {str(slot): room for slot, room in made.slots.items()},
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
    width, height, x, y, slots, lines, glyphs, lengths = json.loads(body[4:end])
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
        {Slot.parse(slot): tuple(rect) for slot, rect in slots.items()},
        tuple(Glyph(name, tuple(box), outline) for (name, box), outline in zip(glyphs, blobs[2:])),
        tuple(map(tuple, lines)),
    )
