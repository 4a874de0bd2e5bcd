"""Temporary folders that are locked while they are in use.

In: where, and the beginning of the name. Out: a new folder that nobody else can read. A lock
distinguishes what a killed process left from what another one is using.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

from workbook.locks import Lock, NoLocks, take

LOCK = "in-use.lock"
"""The file that is locked while the folder is in use."""
_PREFIX = "workbook-"


class Temporary:
    """A folder of this process, empty but for its lock file."""

    def __init__(self, path: Path, lock: Lock | None):
        self.path, self._lock = path, lock

    def remove(self) -> None:
        """Remove the folder as far as that is possible, its lock file last."""
        for entry in _entries(self.path):
            if entry.name == LOCK:
                continue
            if entry.is_dir() and not entry.is_symlink():
                shutil.rmtree(entry, ignore_errors=True)
            else:
                with suppress(OSError):
                    entry.unlink()
        empty = {entry.name for entry in _entries(self.path)} <= {LOCK}
        self.leave(remove_lock=empty)
        with suppress(OSError):
            self.path.rmdir()

    def leave(self, remove_lock: bool = False) -> None:
        """Give the folder up without removing it."""
        if self._lock:
            self._lock.release(remove_lock)
        elif remove_lock:
            (self.path / LOCK).unlink(missing_ok=True)


def make(place: Path, prefix: str) -> Temporary:
    """A new folder in ``place``. Raises OSError if there can be none."""
    while True:
        path = Path(tempfile.mkdtemp(prefix=prefix, dir=place))
        try:
            lock = take(path / LOCK)
        except NoLocks:
            return Temporary(path, None)
        except FileNotFoundError:
            continue  # another process took it for a left one before it was locked
        if lock:
            return Temporary(path, lock)


def named(place: Path, prefix: str) -> list[Path]:
    """The folders in ``place`` with that beginning, in use or not; links are left out."""
    try:
        with os.scandir(place) as entries:
            return sorted(
                Path(entry.path)
                for entry in entries
                if entry.name.startswith(prefix) and entry.is_dir(follow_symlinks=False)
            )
    except OSError:
        return []


def trusted(path: Path) -> bool:
    """Whether a folder belongs to this user, or to the owner of the folder around it."""
    try:
        found, around = path.lstat(), path.parent.stat()
    except OSError:
        return False
    owners = {around.st_uid, os.geteuid()} if hasattr(os, "geteuid") else {found.st_uid}
    return found.st_uid in owners


def _entries(path: Path) -> list[Path]:
    try:
        return list(path.iterdir())
    except OSError:
        return []


@contextmanager
def temporary() -> Iterator[Path]:
    """A folder for unfinished files outside the teacher's folders, removed at the end."""
    place = Path(tempfile.gettempdir())
    _clear(place)
    folder = make(place, _PREFIX)
    try:
        yield folder.path
    finally:
        folder.remove()


@cache
def _clear(place: Path) -> None:
    """Remove what killed processes left in ``place``, once in each process."""
    for path in named(place, _PREFIX):
        if not (trusted(path) and os.path.lexists(path / LOCK)):
            continue  # another program's
        with suppress(OSError):
            if lock := take(path / LOCK, make=False):
                Temporary(path, lock).remove()
