"""Typed access to JSON objects, with a clear message for every wrong value.

In: values from ``json.loads``. Out: values of the requested types. Raises Unreadable.
"""

from __future__ import annotations

from math import isfinite


class Unreadable(Exception):
    """A record cannot be read. The message is for the teacher and does not name the file."""


class Fields:
    """The members of one JSON object. ``what`` names it in messages: ``"item 3"``.

    Every method that reads a member raises Unreadable if it is missing or of another type.
    """

    def __init__(self, value: object, what: str):
        if not isinstance(value, dict):
            raise Unreadable(f"{what} must be an object in braces, not {quoted(value)}")
        self._members: dict[str, object] = value
        self.what = what

    def has(self, name: str) -> bool:
        return name in self._members

    def names(self) -> list[str]:
        return list(self._members)

    def wrong(self, name: str, wanted: str) -> Unreadable:
        """The error for a member ``name`` that is not what is ``wanted``."""
        return Unreadable(
            f'"{name}" of {self.what} must be {wanted}, not {quoted(self._members.get(name))}'
        )

    def value(self, name: str) -> object:
        try:
            return self._members[name]
        except KeyError:
            raise Unreadable(f'"{name}" is missing in {self.what}') from None

    def text(self, name: str) -> str:
        value = self.value(name)
        if not _is_text(value):
            raise self.wrong(name, "text in quotes")
        return str(value)

    def count(self, name: str) -> int:
        """A whole number, 0 or more."""
        value = self.value(name)
        if type(value) is not int or not 0 <= value < _MANY:
            raise self.wrong(name, "a whole number, 0 or more")
        return value

    def list(self, name: str) -> list[object]:
        value = self.value(name)
        if not isinstance(value, list):
            raise self.wrong(name, "a list in brackets")
        if len(value) > _LONGEST:
            raise Unreadable(
                f'"{name}" of {self.what} has {len(value):,} entries; the most is {_LONGEST:,}'
            )
        return value

    def texts(self, name: str) -> tuple[str, ...]:
        return _texts(self, name, self.list(name))

    def rows(self, name: str) -> tuple[tuple[str, ...], ...]:
        """A list of lists of text."""
        rows = self.list(name)
        if not all(isinstance(row, list) for row in rows):
            raise self.wrong(name, "a list of lists")
        return tuple(_texts(self, name, row) for row in rows if isinstance(row, list))

    def counts(self, name: str) -> tuple[int, ...]:
        found = tuple(value for value in self.list(name) if type(value) is int)
        if len(found) != len(self.list(name)):
            raise self.wrong(name, "a list of whole numbers")
        return found

    def rect(self, name: str) -> tuple[float, float, float, float]:
        """Four finite numbers: left, bottom, right, top."""
        found = [
            float(value)
            for value in self.list(name)
            if type(value) in (int, float) and isinstance(value, int | float) and abs(value) < _FAR
        ]
        if len(found) != 4 or len(self.list(name)) != 4 or not all(map(isfinite, found)):
            raise self.wrong(name, "four numbers: left, bottom, right, top")
        left, bottom, right, top = found
        return left, bottom, right, top


_FAR = 1e6
"""A limit in points beyond any page."""
_MANY = 10**9
"""A limit beyond any count."""
_LONGEST = 10_000
"""Entries of a list, far more than any workbook has."""
_LONG = 40


def quoted(value: object) -> str:
    """A JSON value for a message, shortened if long."""
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "an object in braces"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        shown = value.encode("utf-8", "replace").decode()
        return f'"{shown[:_LONG]}…"' if len(shown) > _LONG else f'"{shown}"'
    if isinstance(value, int) and abs(value) >= _MANY:
        return "a very large number"
    return f"{value:.6g}" if isinstance(value, float) else f"{value}"


def _texts(fields: Fields, name: str, values: list[object]) -> tuple[str, ...]:
    if not all(map(_is_text, values)):
        raise fields.wrong(name, "a list of texts in quotes")
    return tuple(map(str, values))


def _is_text(value: object) -> bool:
    """Whether ``value`` is text without lone surrogates, which cannot be encoded."""
    return isinstance(value, str) and (
        value.isascii() or not any("\ud800" <= char <= "\udfff" for char in value)
    )
