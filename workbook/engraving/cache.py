"""Snippets kept between builds, each under an address that says what it shows.

In: an address (see ``address``) and a snippet. Out: the snippet again. Several builds may
share the folder. An entry whose checksum is wrong is treated as missing. When the whole grows
beyond its limit, the entries that were used least recently are removed.
"""

from __future__ import annotations

import hashlib
import logging
import threading
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from operator import attrgetter
from pathlib import Path

from workbook.engraving import packing, rows
from workbook.engraving.cache_folder import (
    SETTING,
    CacheFolder,
    CacheRefused,
    folder,
    remove,
)
from workbook.engraving.frame import Frame
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise

__all__ = ["SETTING", "Cache", "Size", "address", "folder"]

MOST_BYTES = 256 * 1024 * 1024
IN_MEMORY = 600
"""Snippets that one build keeps in memory, some 5 KB each."""

_log = logging.getLogger(__name__)


def engraving_modules() -> tuple[Path, ...]:
    """The modules whose code decides how music is drawn: every one in this package, the
    page's design, and those that name keys and pitches.
    """
    here = Path(__file__).parent
    above = here.parent
    others = ("design.py", "music/keys.py", "music/pitch.py", "music/rhythm.py")
    return (*sorted(here.glob("*.py")), *(above / other for other in others))


@lru_cache(maxsize=1)
def engraving_version() -> str:
    """A digest of our code that decides how music is drawn: after any change of it, pictures
    made before are not used.
    """
    digest = hashlib.sha256()
    for module in engraving_modules():
        digest.update(module.read_bytes())
    return digest.hexdigest()[:16]


def address(exercise: Exercise, frame: Frame, lilypond: str) -> str:
    """What identifies a picture, as 64 hexadecimal digits: the music and the space
    kept for boxes, its frame, LilyPond's version and ours.

    It does not depend on student, number, page or answer.
    """
    content = (
        engraving_version(),
        lilypond,
        frame,
        exercise.music,
        exercise.key.ascii if exercise.signed else "",
        exercise.roomy,
        [(row, row.box) for row in rows.box_rows(exercise, frame.size)],
    )
    return hashlib.sha256(repr(content).encode()).hexdigest()


@dataclass(frozen=True)
class Size:
    """A number of snippets, and their total size in bytes."""

    snippets: int
    bytes: int


class Cache:
    """The snippets in one folder, at most ``most`` bytes of them. Threads may share it.

    A folder that cannot be used is not an error: snippets are then kept in memory only.
    """

    def __init__(self, place: Path | None, most: int = MOST_BYTES) -> None:
        self.place, self.most = place, most
        self._folder = CacheFolder(place)
        self._memory: OrderedDict[str, Snippet] = OrderedDict()
        self._lock = threading.Lock()
        self.left = 0
        """Entries that the last ``clear`` found and could not remove."""

    @property
    def problem(self) -> str:
        """Why nothing is kept on disk, as half a sentence; "" if all is well."""
        return self._folder.problem()

    def get(self, name: str) -> Snippet | None:
        """The snippet at the address ``name``, or None."""
        with self._lock:
            found = self._memory.get(name)
        if found is None:
            found = self._load(name)
        if found is not None:
            self._remember(name, found)
        return found

    def put(self, name: str, made: Snippet) -> None:
        """Keep a snippet at the address ``name``."""
        self._remember(name, made)
        self._folder.write(name, packing.pack(name, made))

    def _load(self, name: str) -> Snippet | None:
        data = self._folder.read(name)
        if data is None:
            return None
        found = packing.unpack(name, data)
        if found is None:
            _log.info("%s is damaged and is not used", self._folder.file(name))
        return found

    def _remember(self, name: str, made: Snippet) -> None:
        with self._lock:
            self._memory[name] = made
            self._memory.move_to_end(name)
            if len(self._memory) > IN_MEMORY:
                self._memory.popitem(last=False)

    def size(self) -> Size:
        """What is kept on disk."""
        sizes = [entry.size for entry in self._folder.entries()]
        return Size(len(sizes), sum(sizes))

    def trim(self) -> None:
        """Remove what was used least recently until a tenth of the limit is free, and the
        temporary files of processes that were ended.
        """
        self._folder.tidy()
        entries = sorted(self._folder.entries(), key=attrgetter("used"))
        total = sum(entry.size for entry in entries)
        if total <= self.most:
            return
        for entry in entries:
            if total <= 0.9 * self.most:
                break
            if remove(entry.file):
                total -= entry.size

    def clear(self) -> Size:
        """Remove every entry, and nothing else; returns what was removed.

        Raises CacheRefused if the folder is not the cache's own.
        """
        with self._lock:
            self._memory.clear()
        if self.problem:
            where = f"from {self.place}" if self.place else "from the cache"
            raise CacheRefused(f"Nothing was removed {where}: {self.problem}.")
        self._folder.tidy()
        entries = list(self._folder.entries())
        removed = [entry.size for entry in entries if remove(entry.file)]
        self.left = len(entries) - len(removed)
        return Size(len(removed), sum(removed))
