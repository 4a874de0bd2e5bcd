"""The folder of the cache: where it is, whether it is ours, and which of its files are.

In: the name of a folder. Out: its entries as bytes. The folder is one of our own, made with
mode 0700 and marked by a file; in a folder without that mark, nothing is read, written or
removed. A fault of the folder is never an error: what cannot be read counts as missing, and what
cannot be written is not kept.
"""

from __future__ import annotations

import logging
import os
import re
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from workbook.errors import WorkbookError
from workbook.inputs.messages import reason

SETTING = "WORKBOOK_CACHE"
"""The environment variable that names another folder, in which the cache's own is made."""
NAME = "workbook-snippets"
"""The name of the cache's own folder."""
MARK = "CACHEDIR.TAG"
"""The file that marks the folder, by the Cache Directory Tagging Specification (Bryan Ford):
backup programs leave such a folder out."""
_MARK = (
    b"Signature: 8a477f597d28d172789f06886806bc55\n"
    b"# Engraved exercises of the program workbook. They may be deleted at any time.\n"
)
_FRESH = 3600
"""Seconds: a use is recorded at most this often, which saves writes; a temporary file older
than this is left over from a process that was ended."""
_MOST_IN_ENTRY = 16 * 1024 * 1024
_FOLDER = re.compile(r"[0-9a-f]\Z")
_ENTRY = re.compile(r"[0-9a-f]{63}\Z")
_TEMPORARY = re.compile(r"new-[a-z0-9_]+\.tmp\Z")
_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_FAULTS = (OSError, ValueError)
"""What a system call raises; ValueError for a name that the file system cannot encode."""

_log = logging.getLogger(__name__)


def folder() -> Path | None:
    """The cache's own folder: in the folder that SETTING names, or in the user's cache folder.

    None if there is neither, as for a user without a home folder.
    """
    named = os.environ.get(SETTING)
    if named:
        return Path(named) / NAME
    from platformdirs import user_cache_dir

    try:
        base = Path(user_cache_dir("workbook", appauthor=False))
    except (OSError, LookupError, RuntimeError):
        return None
    return base / NAME if base.is_absolute() else None


@dataclass(frozen=True)
class Entry:
    """A file of the cache: the time of its last use, its size in bytes, its path."""

    used: float
    size: int
    file: Path


class CacheFolder:
    """The files below ``place``; None for a computer without room for them."""

    def __init__(self, place: Path | None) -> None:
        self.place = place
        self._ours, self._marked, self._problem = False, False, ""

    def problem(self) -> str:
        """Why the folder cannot be used, as half a sentence; "" if it can, or is not there."""
        if not self._ours and not self._problem:
            self._problem = self._look()
        return self._problem

    def _look(self) -> str:
        if self.place is None:
            return f"there is no home folder; set {SETTING} to a folder for it"
        try:
            status = self.place.stat()
            if not _is_mine(status):
                return "it belongs to another user"
            # looked at again, as another build may have marked and filled it by now
            if not (_has_mark(self.place) or _is_new(self.place) or _has_mark(self.place)):
                return f"it has no file {MARK} of this program, so it may be something else"
        except FileNotFoundError:
            return ""
        except _FAULTS as error:
            return _reason(error)
        _keep_private(self.place, status)
        self._ours = True
        return ""

    def read(self, name: str) -> bytes | None:
        """The entry ``name``, or None."""
        file = self.file(name)
        if not file or self.problem():
            return None
        try:
            return _read(file)
        except _FAULTS:
            return None

    def write(self, name: str, data: bytes) -> None:
        """Keep ``data`` as the entry ``name``, if that can be done."""
        file = self.file(name)
        try:
            if file and self._made():
                file.parent.mkdir(exist_ok=True)
                _write(file, data)
        except _FAULTS as error:
            _log.info("a snippet could not be kept in %s: %s", self.place, error)

    def file(self, name: str) -> Path | None:
        """Where the entry ``name`` is."""
        return self.place / name[:1] / name[1:] if self.place else None

    def entries(self) -> Iterator[Entry]:
        """Every entry that can be found."""
        for file, status in self._files(_ENTRY):
            yield Entry(status.st_mtime, status.st_size, file)

    def tidy(self) -> None:
        """Remove the temporary files of processes that were ended."""
        for file, status in self._files(_TEMPORARY):
            if time.time() - status.st_mtime > _FRESH:
                remove(file)

    def _made(self) -> bool:
        """Make and mark the folder. Returns whether it is ours."""
        if self.place is None or self.problem():
            return False
        if not self._marked:
            self.place.mkdir(mode=0o700, parents=True, exist_ok=True)
            if self.problem():  # another program has just put something there
                return False
            if not _has_mark(self.place):
                _write(self.place / MARK, _MARK)
            self._marked = True
        return True

    def _files(self, name: re.Pattern[str]) -> Iterator[tuple[Path, os.stat_result]]:
        """The files with such a name, none that a link leads to."""
        if self.place is None or self.problem():
            return
        for inner in _listed(self.place):
            if _FOLDER.match(inner.name) and inner.is_dir(follow_symlinks=False):
                for found in _listed(Path(inner.path)):
                    if name.match(found.name):
                        with suppress(OSError):  # another build has just removed it
                            status = found.stat(follow_symlinks=False)
                            if stat.S_ISREG(status.st_mode):
                                yield Path(found.path), status


class CacheRefused(WorkbookError):
    """The folder of the cache is not ours, or cannot be used."""


def remove(file: Path) -> bool:
    """Remove a file. Returns whether it is gone."""
    try:
        file.unlink(missing_ok=True)
    except OSError as error:
        _log.info("%s could not be removed: %s", file, error)
        return False
    return True


def _listed(place: Path) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(place) as found:
            return list(found)
    except _FAULTS:
        return []


def _has_mark(place: Path) -> bool:
    try:
        return _read(place / MARK) == _MARK
    except FileNotFoundError:
        return False


def _is_new(place: Path) -> bool:
    """Whether it is as another build may have made it just now."""
    return all(_TEMPORARY.match(file.name) for file in place.iterdir())


def _is_mine(status: os.stat_result) -> bool:
    """Whether no other user can have put forged entries there."""
    return not hasattr(os, "geteuid") or status.st_uid in (os.geteuid(), 0)


def _keep_private(place: Path, status: os.stat_result) -> None:
    if hasattr(os, "geteuid") and status.st_mode & 0o077:
        with suppress(OSError):
            place.chmod(0o700)


def _read(file: Path) -> bytes | None:
    """A file that may be anything: None for a device, a pipe or too much. Notes the use."""
    handle = os.open(file, _OPEN)
    try:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode) or status.st_size > _MOST_IN_ENTRY:
            return None
        data = os.read(handle, status.st_size + 1)
    finally:
        os.close(handle)
    if time.time() - status.st_mtime > _FRESH:
        with suppress(OSError):
            os.utime(file)
    return data


def _write(file: Path, data: bytes) -> None:
    """Write ``data`` so that ``file`` is never half written."""
    handle, name = tempfile.mkstemp(prefix="new-", suffix=".tmp", dir=file.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        temporary.replace(file)
    except BaseException:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
        raise


def _reason(error: Exception) -> str:
    return reason(error) if isinstance(error, OSError) else "its name is not valid on this system"
