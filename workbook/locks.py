"""File locks, which the operating system releases when their holder ends.

In: the path of a lock file. Out: a lock, held by one process on any machine that sees the
file. Nothing depends on process numbers, which mean nothing in another container or on
another machine.
"""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from pathlib import Path

_UNSUPPORTED = {errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOTSUP, errno.EINVAL}
"""How a file system says that it has no locks."""


class NoLocks(OSError):
    """The file system has no locks."""


class Lock:
    """A lock that is held until ``release``, or until the process ends."""

    def __init__(self, path: Path, handle: int):
        self._path, self._handle = path, handle

    def release(self, remove: bool = True) -> None:
        """Release the lock, and remove its file unless ``remove`` is False."""
        if remove:
            with suppress(OSError):  # Windows removes no open file
                self._path.unlink()
        os.close(self._handle)
        if remove and os.name == "nt":
            with suppress(OSError):  # somebody else has it by now
                self._path.unlink()


def take(path: Path, make: bool = True) -> Lock | None:
    """The lock on ``path``; None if it is held elsewhere.

    No link is followed. With ``make``, the file is made if it is not there. Raises NoLocks
    if the file system has none, else OSError.
    """
    from filelock import lock_descriptor

    while True:
        handle = _opened(path, os.O_CREAT if make else 0)
        try:
            if not lock_descriptor(handle, blocking=False):
                os.close(handle)
                return None
            if _is_at(handle, path):
                return Lock(path, handle)
            os.close(handle)  # its last holder removed it: take the file that is there now
        except OSError as error:
            os.close(handle)
            if error.errno in _UNSUPPORTED:
                raise NoLocks(error.errno, error.strerror, str(path)) from None
            raise


def _opened(path: Path, making: int) -> int:
    flags = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    if not hasattr(os, "O_NOFOLLOW") and path.is_symlink():  # Windows
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path))
    try:
        return os.open(path, os.O_RDWR | making | flags, 0o666)
    except PermissionError:  # another user's file, which may still be locked
        return os.open(path, os.O_RDONLY | flags)


def _is_at(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), path.lstat())
    except FileNotFoundError:
        return False
