"""Words for what the teacher wrote: folded text, short quotations, suggestions."""

from __future__ import annotations

import difflib
import json
import unicodedata
from collections.abc import Iterable
from typing import Any

_QUOTED = 60


def fold(text: str) -> str:
    """``text`` in NFC, with every run of white space made one space and none at the ends."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def has_control(text: str) -> bool:
    """Whether ``text`` holds a control character other than white space."""
    return any(unicodedata.category(c) == "Cc" and not c.isspace() for c in text)


def seen(text: str) -> bool:
    """Whether ``text`` holds anything that leaves a mark on paper."""
    return any(c not in ("Cc", "Cf", "Zs", "Zl", "Zp") for c in map(unicodedata.category, text))


def short(text: str) -> str:
    """``text`` on one line, cut to a length that a message bears."""
    line = "".join(c if c.isprintable() else " " for c in text)
    return line if len(line) <= _QUOTED else line[: _QUOTED - 1] + "…"


def said(value: Any) -> str:
    """A value as a template writes it: ``true``, ``"left"``, ``[1, 2]``."""
    if isinstance(value, str):
        return f'"{short(value)}"'
    try:
        return short(json.dumps(value, ensure_ascii=False, default=str))
    except ValueError:  # a whole number of more digits than Python will print
        return "a value far too large"


def suggestion(word: str, options: Iterable[Any]) -> str:
    """``did you mean "count"?``, or "" when no option is close."""
    names = {o.casefold(): o for o in options if isinstance(o, str)}
    close = difflib.get_close_matches(word[:_QUOTED].casefold(), list(names), n=1, cutoff=0.6)
    return f'did you mean "{names[close[0]]}"?' if close else ""
