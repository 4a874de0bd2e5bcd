"""The journal of a build that is being put in place: what was there, and what will be.

In: a folder with finished files, and the folder that they are for. Out: ``journal.json``
beside them. As soon as it exists, the build counts as done, and whoever finds it puts the rest in
place.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, replace
from errno import EBADF, EINVAL, ENOSYS, ENOTSUP
from pathlib import Path, PurePath
from typing import Literal

JOURNAL = "journal.json"
NEW, OLD = "new", "old"
"""The folders, beside the journal, of the new files and of those that they replace."""
_VERSION = 1
_AT_ONCE = 16
"""Files written to the disk at once: a disk does many in nearly the time of one."""
_CANNOT = {EBADF, EINVAL, ENOSYS, ENOTSUP}

Goal = Literal["new", "old"]


@dataclass(frozen=True)
class Content:
    """What a file contains. The size is -1 for anything but a regular file."""

    sha256: str
    size: int

    @classmethod
    def of(cls, data: bytes) -> Content:
        return cls(hashlib.sha256(data).hexdigest(), len(data))


_NO_FILE = Content("", -1)


def content(path: Path) -> Content | None:
    """What is at ``path``, None if nothing is. Links are not followed. Raises OSError."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return _NO_FILE
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256")
            return Content(digest.hexdigest(), file.tell())
    except FileNotFoundError:
        return None


Look = tuple[int, int, int]
"""What shows that a file was not changed: its number on the disk, size and time."""


def look(path: Path) -> Look | None:
    """How a file looks from outside; None if it is not there."""
    try:
        found = path.lstat()
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


@dataclass(frozen=True)
class Entry:
    """A file: its path in the teacher's folder, the new content, the old one if any."""

    path: str
    new: Content
    old: Content | None


@dataclass(frozen=True)
class Journal:
    """The files of a build. ``goal`` is "old" if a failed build is to be undone."""

    entries: tuple[Entry, ...]
    goal: Goal = "new"

    def undone(self) -> Journal:
        """The journal of the same build, to be undone."""
        return replace(self, goal="old")


class Damaged(Exception):
    """The journal cannot be understood."""


def compared(
    new: Path, target: Path, read: Mapping[str, bytes | None]
) -> tuple[Journal, dict[str, Look]]:
    """The journal of the files in ``new`` that differ from those in ``target``.

    ``read`` has old files from which new ones were made: what they contained then. Also
    returns how each old file looked that still has the content that the journal gives it.
    """
    entries, looks = [], {}
    for source in sorted(path for path in new.rglob("*") if path.is_file()):
        path = source.relative_to(new).as_posix()
        seen = look(target / path)
        fresh, there = content(source), content(target / path)
        old = _content_of(read[path]) if path in read else there
        if fresh and fresh != there:
            entries.append(Entry(path, fresh, old))
            if seen and there == old:
                looks[path] = seen
    return Journal(tuple(entries)), looks


def _content_of(data: bytes | None) -> Content | None:
    return None if data is None else Content.of(data)


def write(folder: Path, journal: Journal) -> None:
    """Write the journal of the files in ``folder``, completely and to the disk."""
    text = json.dumps({"version": _VERSION, **asdict(journal)}, indent=1)
    half = folder / f"{JOURNAL}.half"
    half.write_text(text, "utf-8")
    synced([half])
    os.replace(half, folder / JOURNAL)  # noqa: PTH105  # as everywhere in these modules
    synced([folder])


def read(folder: Path) -> Journal | None:
    """The journal in ``folder``; None if there is none. Raises Damaged or OSError."""
    try:
        text = (folder / JOURNAL).read_text("utf-8")
    except FileNotFoundError:
        return None
    except UnicodeDecodeError:
        raise Damaged from None
    try:
        data = json.loads(text)
        if data["version"] != _VERSION or data["goal"] not in ("new", "old"):
            raise Damaged
        return Journal(tuple(map(_entry, data["entries"])), data["goal"])
    except (ValueError, TypeError, KeyError, RecursionError):
        raise Damaged from None


def _entry(data: Mapping[str, object]) -> Entry:
    path, new, old = str(data["path"]), _content(data["new"]), data["old"]
    if not _safe(path) or new is None:
        raise Damaged
    return Entry(path, new, _content(old))


def _content(data: object) -> Content | None:
    if data is None:
        return None
    if not isinstance(data, dict):
        raise Damaged
    return Content(str(data["sha256"]), int(data["size"]))


def _safe(path: str) -> bool:
    """Whether a path stays inside the folder that it is relative to."""
    pure = PurePath(path)
    return bool(pure.parts) and ".." not in pure.parts and not pure.anchor


def synced(paths: Iterable[Path]) -> None:
    """Have files or folders written to the disk, many at a time. Raises OSError."""
    every = list(paths)
    if len(every) == 1:
        _sync(every[0])
        return
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        list(pool.map(_sync, every))


def _sync(path: Path) -> None:
    windows = os.name == "nt"  # which opens no folders, and syncs only what may be written
    if windows and path.is_dir():
        return
    handle = os.open(path, os.O_RDWR if windows else os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise
    finally:
        os.close(handle)
