"""Files that the teacher names: read completely, or refused with a message.

In: a path. Out: the bytes of a file. Anything that is not a file (a folder, a pipe, a device) is
reported at once: opening a pipe waits for whoever writes to it, and reading a device may never
end.
"""

from __future__ import annotations

import errno
import os
import stat
import sys
from pathlib import Path
from typing import BinaryIO

from workbook.inputs.messages import reason

MOST_BYTES = 200_000_000
"""The largest file that is read into memory. A print job of 2,000 papers takes 20 MB."""

_KINDS = (
    (stat.S_ISDIR, errno.EISDIR, "a folder"),
    (stat.S_ISFIFO, errno.EINVAL, "a pipe"),
    (stat.S_ISSOCK, errno.EINVAL, "a socket"),
    (stat.S_ISCHR, errno.EINVAL, "a device"),
    (stat.S_ISBLK, errno.EINVAL, "a device"),
)


def open_file(path: Path | str) -> BinaryIO:
    """The file at ``path``, open for reading.

    Raises OSError, whose ``strerror`` says in the teacher's words why it cannot be read.
    """
    try:
        _check(os.stat(path).st_mode)  # noqa: PTH116 - a path may be a text
        handle = os.open(path, os.O_RDONLY | _flag("O_NONBLOCK") | _flag("O_BINARY"))
    except OSError as error:
        raise _told(error) from None
    except ValueError:
        raise OSError(errno.EINVAL, impossible(path)) from None
    try:
        _check(os.fstat(handle).st_mode)  # it may have been replaced in between
    except OSError:
        os.close(handle)
        raise
    return os.fdopen(handle, "rb")


def read_file(path: Path | str, most: int = MOST_BYTES) -> bytes:
    """The content of the file at ``path``. Raises OSError as ``open_file`` does.

    Also for a file of more than ``most`` bytes.
    """
    with open_file(path) as file:
        try:
            data = file.read(most + 1)
        except OSError as error:
            raise _told(error) from None
    if len(data) > most:
        raise OSError(errno.EFBIG, f"it is larger than {most // 1_000_000} MB")
    return data


def impossible(path: Path | str) -> str:
    """Why no file can have this name, as half a sentence; "" if one can.

    The command makes sure of a locale with all characters; a calling program may not.
    """
    try:
        name = os.fsencode(path)
    except UnicodeEncodeError:
        encoding = sys.getfilesystemencoding()
        if encoding.startswith("utf"):
            return "its name has characters that are not allowed in file names; use others"
        return (
            f"its name has characters that {encoding}, the encoding of this locale, does not "
            "have; set PYTHONUTF8=1 and start again"
        )
    return "its name has a NUL character; remove it" if b"\0" in name else ""


def real(path: Path | str) -> Path:
    """Where ``path`` leads, in full. A link to itself is reported when it is opened."""
    return Path(os.path.realpath(path))  # Path.resolve raises RuntimeError before Python 3.13


def kind(path: Path) -> str:
    """What is at ``path``: "a file", "a folder", "a pipe". Raises OSError if nothing is there."""
    mode = path.stat().st_mode
    return next((what for is_kind, _, what in _KINDS if is_kind(mode)), "a file")


def _check(mode: int) -> None:
    for is_kind, code, what in _KINDS:
        if is_kind(mode):
            raise OSError(code, f"it is {what}, not a file")


def _told(error: OSError) -> OSError:
    return OSError(error.errno or errno.EIO, reason(error))


def _flag(name: str) -> int:
    """A flag for opening files; 0 where the system has none of that name."""
    return int(getattr(os, name, 0))
