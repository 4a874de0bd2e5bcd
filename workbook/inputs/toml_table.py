"""TOML tables read with care: where each key stands, and what is wrong with its value.

In: TOML text and its parsed tables. Out: values of the right type and range,
and a note for each that is not, with its line.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path

from workbook.errors import Problem
from workbook.inputs.messages import fold, has_control, said, seen, suggestion

Note = Callable[[int | None, str, str], None]
"""Takes a problem: the line or None, what is wrong, what would be right or ""."""

_STRING_OR_COMMENT = re.compile(
    r'''("""(?:\\.|[^\\])*?"""+|\'\'\'.*?\'\'\'+|"(?:\\.|[^"\\\n])*"|'[^'\n]*')|\#[^\n]*''',
    re.DOTALL,
)
_KEY = re.compile(r"""\s*(\[\s*)?(?:"([^"]*)"|'([^']*)'|([\w-]+))\s*(?(1)[.\]]|[=.])""")


def read_toml(path: Path, note: Note, instead: str) -> tuple[str, dict] | None:
    """The text of a TOML file and its data; None, with a note, if it cannot be had.

    ``instead`` says what to do about an empty file.
    """
    text = _text(path, note, instead)
    data = _parse(text, note) if text is not None else None
    return None if data is None else (text, data)


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Problems as a teacher meets them who goes through the file once."""
    return sorted(problems, key=lambda p: int(p.place[5:] or 0))


def _text(path: Path, note: Note, instead: str) -> str | None:
    try:
        raw = path.read_bytes()
    except OSError as error:
        note(None, f"cannot be read: {error.strerror or error}", "")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        note(
            raw.count(b"\n", 0, error.start) + 1,
            "is not UTF-8",
            "save the file as UTF-8 in your editor",
        )
        return None
    if not text.strip():
        note(None, "is empty", instead)
        return None
    return text


def _parse(text: str, note: Note) -> dict | None:
    try:
        return tomllib.loads(text)
    except RecursionError:
        note(None, "is not TOML", "too many brackets stand inside each other")
    except ValueError as error:
        # The module gives the place only at the end of its message.
        what, _, place = str(error).rpartition(" (at ")
        line = re.match(r"line (\d+)", place)
        if what == r"Illegal character '\n'":  # tomllib's words for a text that does not end
            what = "a closing quotation mark is missing"
        last = text.rstrip("\n").count("\n") + 1
        note(
            int(line[1]) if line else last,
            f"is not TOML: {what or error}",
            'write key = value, each text in "quotes"',
        )
    return None


def key_lines(text: str, name: str = "section") -> dict[tuple[int, str], int]:
    """The line of each key of a valid TOML text, by (table, key).

    Tables ``[[name]]`` count from 0 and all else is -1, the top of the file; the
    key "" stands for the ``[[name]]`` header itself.
    """
    header = re.compile(rf"""\s*\[\[\s*(["']?){re.escape(name)}\1\s*\]\]""")

    def blank_out(match: re.Match) -> str:
        # What looks like a key inside a long text or a comment is none.
        string = match[1] or ""
        return "\n" * string.count("\n") if "\n" in string else string

    found: dict[tuple[int, str], int] = {}
    tables, here = 0, -1
    for line, content in enumerate(_STRING_OR_COMMENT.sub(blank_out, text).split("\n"), 1):
        if header.match(content):
            here, tables = tables, tables + 1
            found[here, ""] = line
            continue
        if content.lstrip().startswith("["):
            here = -1  # another table, which hangs on the top of the file
        if key := _KEY.match(content):
            found.setdefault((here, key[2] or key[3] or key[4] or ""), line)
    return found


class Table:
    """One TOML table under reading: gives values by key and notes what is wrong.

    ``line`` tells where a key stands, and for "" where the table begins. A
    wrong value comes back as something harmless, so that reading goes on.
    """

    def __init__(self, values: dict, note: Note, line: Callable[[str], int | None]):
        self.values, self._note, self._line = values, note, line

    def wrong(self, key: str, what: str, instead: str = "") -> None:
        self._note(self._line(key), what, instead)

    def _missing(self, key: str, instead: str) -> None:
        self._note(self._line(""), f'"{key}" is missing', instead)

    def text(self, key: str, default: str | None = None) -> str:
        """A text, each paragraph folded to one line; without a default it must be there."""
        if key not in self.values:
            if default is None:
                self._missing(key, f'write {key} = "…"')
            return default or ""
        value = self.values[key]
        if not isinstance(value, str):
            self.wrong(key, f"{key} is {said(value)}", 'write a text in "quotes"')
            return ""
        if has_control(value):
            self.wrong(key, f"{key} holds a control character", "remove it")
        folded = "\n".join(filter(None, map(fold, re.split(r"\n[ \t\r]*\n", value))))
        if not seen(folded):
            if default is None:
                self.wrong(key, f"{key} is empty", "write a text")
            return default or ""
        return folded

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """A whole number from ``low`` to ``high``; without a default it must be there."""
        right = f"write a whole number from {low} to {high}"
        if key not in self.values:
            if default is None:
                self._missing(key, right)
            return default or 0
        value = self.values[key]
        if type(value) is not int or not low <= value <= high:
            self.wrong(key, f"{key} is {said(value)}", right)
            return low
        return value

    def one(self, key: str, allowed: tuple, default=None):
        """One of ``allowed``; None when it is wrong, or missing without a default."""
        if key not in self.values:
            if default is None:
                self._missing(key, _right(allowed))
            return default
        return self.values[key] if self._allowed(key, self.values[key], allowed) else None

    def some(self, key: str, allowed: tuple, default: tuple | None = None) -> tuple:
        """One of ``allowed`` or a list of them; without a default it must be there."""
        if key not in self.values:
            if default is None:
                self._missing(key, _right(allowed))
            return default or ()
        value = self.values[key]
        items = value if isinstance(value, list) else [value]
        if not items:
            self.wrong(key, f"{key} is an empty list", _right(allowed))
        chosen: list = []
        for item in items:
            if not self._allowed(key, item, allowed):
                continue
            if item in chosen:
                self.wrong(key, f"{key} says {said(item)} twice", "say it once")
            chosen.append(item)
        return tuple(chosen)

    def _allowed(self, key: str, item: object, allowed: tuple) -> bool:
        # Types too, since Python holds true and 1 for equal.
        if any(type(item) is type(a) and item == a for a in allowed):
            return True
        hint = suggestion(item, allowed) if isinstance(item, str) else ""
        self.wrong(key, f"{key} cannot be {said(item)}", hint or _right(allowed))
        return False


def _right(allowed: tuple) -> str:
    return "write " + ("one of " if len(allowed) > 1 else "") + ", ".join(map(said, allowed))
