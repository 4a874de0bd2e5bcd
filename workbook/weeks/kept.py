"""Values that take long to compute, kept until their inputs change.

In: where a value belongs, what it is made of, and how to make it. Out: the value.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

V = TypeVar("V")
_MOST = 500
"""Values kept, so that memory stays small."""


class Kept(Generic[V]):
    """The newest values; any thread may ask for one."""

    def __init__(self) -> None:
        self._values: dict[Hashable, tuple[object, V]] = {}
        self._lock = Lock()

    def value(self, place: Hashable, made_of: object, make: Callable[[], V]) -> V:
        """The value at ``place``, computed again only if its inputs have changed."""
        known = self._values.get(place)
        if known is not None and known[0] == made_of:
            return known[1]
        made = make()
        with self._lock:
            self._values.pop(place, None)
            self._values[place] = made_of, made
            while len(self._values) > _MOST:
                del self._values[next(iter(self._values))]
        return made
