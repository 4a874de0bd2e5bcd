"""TOML tables: where each key stands, and what is wrong with its value.

In: TOML text and its parsed tables. Out: values of the right type and range, and in a
``ProblemLog`` a problem for each that is not, with its line.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from workbook.errors import InputError
from workbook.inputs.messages import fold, has_control, has_ink, quoted
from workbook.inputs.printable import FONTS, Unprintable, nothing, without_font
from workbook.inputs.problem_log import ProblemLog, read_bytes
from workbook.inputs.suggestions import did_you_mean

_STRING_OR_COMMENT = re.compile(
    # runs that are never tried again: a long text else takes gigabytes
    r'''("""(?:[^"\\]++|\\.|"(?!""))*+"{3,5}|\'\'\'.*?\'\'\'+|"(?:[^"\\\n]++|\\.)*+"'''
    r"""|'[^'\n]*')|\#[^\n]*""",
    re.DOTALL,
)
_KEY = re.compile(r"""\s*(\[\s*)?(?:"([^"]*)"|'([^']*)'|([\w-]+))\s*(?(1)[.\]]|[=.])""")
MOST_BYTES = 1_000_000
"""The size of a file; a template of a hundred sections has some 20,000."""
MOST_VALUES = 100
"""The values of one list."""
_DOTTED = re.compile(r"""(?:^|[{,\[])[ \t]*(?:["']?[\w-]+["']?[ \t]*\.[ \t]*){20}""", re.MULTILINE)
"""A key of so many parts that ``tomllib`` takes minutes for it."""
_IN_TEACHERS_WORDS = {
    "Invalid initial character for a key": "a key or a closing bracket is missing",
    "Invalid date or datetime": "there is no such date",
    "Invalid hex value": "the code after the backslash is wrong",
    "Escaped character is not": "the code after the backslash is wrong",
    "Exceeds the limit": "a number is far too large",
    "Expected ']": "a closing bracket is missing",
    "Expected \"'": "a closing quotation mark is missing",
    "Expected '\"": "a closing quotation mark is missing",
    "Unclosed inline table": "a closing brace is missing",
    "Duplicate inline table key": "the same key appears twice",
    "Cannot redefine namespace": "the same key appears twice",
    "Cannot mutate immutable": "the same key appears twice",
    "Cannot redefine": "the same key appears twice",
    r"Illegal character '\n'": "a closing quotation mark is missing",
    r"Illegal character '\r'": "a line has an unusual ending",
    "Illegal character": "there is a control character",
    "Unterminated string": "a closing quotation mark is missing",
    "Cannot overwrite a value": "the same key appears twice",
    "Cannot declare": "the same table appears twice",
    "Invalid value": "a value is missing or not in quotes",
    "Invalid statement": "this line does not begin with a key",
    "Expected '=' after a key": 'there is no "=" after the key',
    "Expected newline or end of document": "something follows the value",
    "Unclosed array": "a closing bracket is missing",
    "Unescaped '\\' in a string": "a backslash must be written twice",
}
"""How the messages of ``tomllib`` begin, and what they mean."""


def read_toml(path: Path, log: ProblemLog, if_empty: str) -> tuple[str, dict[str, Any]] | None:
    """The text of a TOML file and its data, or None, with a problem in ``log``.

    ``if_empty`` says what to write into an empty file.
    """
    text = read_utf8(path, log)
    data = None if text is None else _parse(text, log)
    if text is None or data is None:
        return None
    if not data:
        comments = bool(text.strip())
        log.add(None, "contains only comments" if comments else "is empty", if_empty)
        return None
    return text, data


def read_utf8(path: Path, log: ProblemLog) -> str | None:
    """The text of a file in UTF-8, or None, with a problem in ``log``."""
    raw = read_bytes(path, log, MOST_BYTES)
    if raw is None:
        return None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        log.add(line, "is not UTF-8", "save the file as UTF-8 in your editor")
        return None


def text_of(path: Path) -> str:
    """The text of a file, unchecked. Raises InputError if it cannot be read as UTF-8."""
    log = ProblemLog(path.name, "line")
    text = read_utf8(path, log)
    if text is None:
        raise InputError(log.problems)
    return text


def _parse(text: str, log: ProblemLog) -> dict[str, Any] | None:
    if dotted := _DOTTED.search(text):
        number = text.count("\n", 0, dotted.end()) + 1
        log.add(number, "has too many keys joined by dots", "write key = value")
        return None
    try:
        return tomllib.loads(text)
    except RecursionError:
        log.add(None, "has too many nested brackets", "write one list of values")
    except ValueError as error:
        # The module gives the place only at the end of its message.
        what, _, place = str(error).rpartition(" (at ")
        what = what or str(error)
        told = (words for begin, words in _IN_TEACHERS_WORDS.items() if what.startswith(begin))
        line = re.match(r"line (\d+)", place)
        last = text.rstrip("\n").count("\n") + 1
        log.add(
            int(line[1]) if line else last,
            f"is not TOML: {next(told, 'this line cannot be read')}",
            'write key = value, with text in "quotes"',
        )
    return None


def key_lines(text: str, name: str = "section") -> dict[tuple[int, str], int]:
    """The line of each key of a valid TOML text, by (table, key).

    Tables ``[[name]]`` count from 0; everything else is table -1, the top of the file.
    The key "" stands for the ``[[name]]`` header itself.
    """
    header = re.compile(rf"""\s*\[\[\s*(["']?){re.escape(name)}\1\s*\]\]""")
    found: dict[tuple[int, str], int] = {}
    tables, here = 0, -1
    for line, content in enumerate(_STRING_OR_COMMENT.sub(_blanked, text).split("\n"), 1):
        if header.match(content):
            here, tables = tables, tables + 1
            found[here, ""] = line
            continue
        if content.lstrip().startswith("["):
            here = -1  # another table, which belongs to the top of the file
        if key := _KEY.match(content):
            found.setdefault((here, key[2] or key[3] or key[4] or ""), line)
    return found


def _blanked(match: re.Match[str]) -> str:
    """A long string or a comment with its words blanked: a key in it is not a key."""
    string = match[1] or ""
    return "\n" * string.count("\n") if "\n" in string else string


MOST_CHARACTERS = 500
"""The length of a text, such as a title."""


class TomlTable:
    """One TOML table: gives values by key, and records what is wrong with them.

    ``line`` gives the line of a key, and for "" the line where the table begins. A wrong value is
    replaced by something harmless, so that reading goes on. Texts must have no character that
    ``unprintable`` finds.
    """

    def __init__(
        self,
        values: dict[str, Any],
        log: ProblemLog,
        line: Callable[[str], int | None],
        unprintable: Unprintable = nothing,
    ):
        self.values, self._log, self._line = values, log, line
        self._unprintable = unprintable

    @property
    def suggests(self) -> bool:
        """Whether a message will list further problems, so that suggestions are worthwhile."""
        return not self._log.full

    def wrong(self, key: str, what: str, instead: str = "") -> None:
        """Record a problem at the line of ``key``."""
        self._log.add(self._line(key), what, instead)

    def unknown(self, key: str, known: Iterable[str], otherwise: str) -> None:
        """Record that ``key`` is not known, with a suggestion or else ``otherwise``."""
        hint = did_you_mean(key, known) if self.suggests else ""
        self.wrong(key, f"unknown key {quoted(key)}", hint or otherwise)

    def _missing(self, key: str, instead: str) -> None:
        self._log.add(self._line(""), f'"{key}" is missing', instead)

    def text(self, key: str, default: str | None = None, most: int = MOST_CHARACTERS) -> str:
        """A text of at most ``most`` characters, each paragraph folded to one line.

        Without a default it is required.
        """
        if key not in self.values:
            if default is None:
                self._missing(key, f'write {key} = "…"')
            return default or ""
        value = self.values[key]
        if not isinstance(value, str):
            self.wrong(key, f"{key} is {quoted(value)}", 'write a text in "quotes"')
            return ""
        if len(value) > most:
            self.wrong(key, f"{key} has {len(value):,} characters", f"write at most {most:,}")
            return ""
        if has_control(value):
            self.wrong(key, f"{key} contains a control character", "remove it")
        folded = "\n".join(filter(None, map(fold, re.split(r"\n[ \t\r]*\n", value))))
        if told := without_font(key, folded, self._unprintable):
            self.wrong(key, told, FONTS)
        if has_ink(folded):
            return folded
        if default is None:
            self.wrong(key, f"{key} is empty", "write a text")
        return default or ""

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """A whole number from ``low`` to ``high``; without a default it is required."""
        right = f"write a whole number from {low} to {high}"
        if key not in self.values:
            if default is None:
                self._missing(key, right)
            return default or 0
        value = self.values[key]
        if type(value) is not int or not low <= value <= high:
            self.wrong(key, f"{key} is {quoted(value)}", right)
            return low
        return value

    def one(self, key: str, allowed: tuple[Any, ...], default: Any = None) -> Any:
        """One of ``allowed``; None if it is wrong, or missing without a default."""
        if key not in self.values:
            if default is None:
                self._missing(key, _right(allowed))
            return default
        return self.values[key] if self._allowed(key, self.values[key], allowed) else None

    def some(
        self, key: str, allowed: tuple[Any, ...], default: tuple[Any, ...] | None = None
    ) -> tuple[Any, ...]:
        """One of ``allowed`` or a list of them; without a default it is required."""
        if key not in self.values:
            if default is None:
                self._missing(key, _right(allowed))
            return default or ()
        value = self.values[key]
        items = value if isinstance(value, list) else [value]
        if not self.has_values(key, _right(allowed)):
            return ()
        chosen: list[Any] = []
        for item in items:
            if not self._allowed(key, item, allowed):
                continue
            if item in chosen:
                self.wrong(key, f"{key} has {quoted(item)} twice", "write it once")
            chosen.append(item)
        return tuple(chosen)

    def has_values(self, key: str, right: str) -> bool:
        """Whether the value of ``key`` is anything but a list that is empty or too long."""
        value = self.values[key]
        if isinstance(value, list) and not value:
            self.wrong(key, f"{key} is an empty list", right)
        elif isinstance(value, list) and len(value) > MOST_VALUES:
            what = f"{key} is a list of {len(value):,} values"
            self.wrong(key, what, f"write at most {MOST_VALUES}")
        else:
            return True
        return False

    def _allowed(self, key: str, item: object, allowed: tuple[Any, ...]) -> bool:
        # Types too, since Python holds true and 1 for equal.
        if any(type(item) is type(a) and item == a for a in allowed):
            return True
        hint = did_you_mean(item, allowed) if isinstance(item, str) and self.suggests else ""
        self.wrong(key, f"{key} cannot be {quoted(item)}", hint or _right(allowed))
        return False


def _right(allowed: tuple[Any, ...]) -> str:
    return "write " + ("one of " if len(allowed) > 1 else "") + ", ".join(map(quoted, allowed))
