"""Words for messages: text cleaned up, values quoted, things counted, what the system says."""

from __future__ import annotations

import errno
import unicodedata

_MOST_QUOTED = 60
"""Characters of a quotation; the rest is cut off."""
_INKLESS = frozenset({"Cc", "Cf", "Zs", "Zl", "Zp"})
"""Unicode categories of characters that print nothing: controls, formats, separators."""


def fold(text: str) -> str:
    """``text`` in NFC, each run of white space replaced by one space, none at either end."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def has_control(text: str) -> bool:
    """Whether ``text`` contains a control character other than white space."""
    if text.isprintable():  # at once, where a roster has 100,000 rows
        return False
    return any(unicodedata.category(c) == "Cc" and not c.isspace() for c in text)


def has_ink(text: str) -> bool:
    """Whether any character of ``text`` shows on paper."""
    return any(unicodedata.category(c) not in _INKLESS for c in text)


def shortened(text: str) -> str:
    """``text`` on one line, cut to a length that fits in a message."""
    line = "".join(c if c.isprintable() else " " for c in text)
    return line if len(line) <= _MOST_QUOTED else line[: _MOST_QUOTED - 1] + "…"


def quoted(value: object) -> str:
    """A value as it is written in a template: ``true``, ``"left"``, ``[1, 2]``."""
    if isinstance(value, str):
        return f'"{shortened(value)}"'
    import json

    try:
        return shortened(json.dumps(value, ensure_ascii=False, default=str))
    except (ValueError, RecursionError):  # more digits, or more brackets, than can be printed
        return "a value that is far too large"


def any_of(values: list[str] | tuple[str, ...], word: str = "or") -> str:
    """``a``; ``a or b``; ``a, b or c``."""
    return f" {word} ".join(filter(None, [", ".join(values[:-1]), *values[-1:]]))


def plural(number: int, one: str, many: str = "") -> str:
    """``1 page``, ``2,000 pages``; ``many`` is the plural where it is not ``one`` with an s."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


_SYSTEM = {
    errno.ENOENT: "it does not exist",
    errno.EISDIR: "it is a folder, not a file",
    errno.ENOTDIR: "part of its path is a file, not a folder",
    errno.EEXIST: "there is a file with that name",
    errno.EACCES: "you have no permission",
    errno.EPERM: "you have no permission",
    errno.EROFS: "the disk is read-only",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your disk quota is used up",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ELOOP: "it is a link to itself",
    errno.EIO: "the disk is not responding",
}


def reason(error: OSError) -> str:
    """Why the system refused a file or a folder, in the teacher's words, as half a sentence."""
    told = _SYSTEM.get(error.errno or 0) or error.strerror or str(error)
    told = told or "the system gives no reason"
    return told[:1].lower() + told[1:]
