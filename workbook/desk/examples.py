"""Examples as pictures: an exercise, blank and answered, made when it is viewed.

In: an exercise. Out: a short id, and by it two pictures. The last ones are kept in memory.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from threading import Lock
from typing import TYPE_CHECKING

from workbook.exercises.model import Exercise

if TYPE_CHECKING:
    from workbook.builds.previews import Slip

_MOST = 60


class Examples:
    """The examples that pages show. Any thread may ask; one is drawn at a time."""

    def __init__(self) -> None:
        self._known: OrderedDict[str, tuple[Exercise, int]] = OrderedDict()
        self._slips: dict[str, Slip] = {}
        self._lock, self._drawing = Lock(), Lock()

    def add(self, exercise: Exercise, points: int = 0) -> str:
        """The id of an exercise worth ``points``, the same for the same one."""
        shown = exercise, points
        name = hashlib.sha256(repr(shown).encode()).hexdigest()[:16]
        with self._lock:
            self._known[name] = shown
            self._known.move_to_end(name)
            while len(self._known) > _MOST:
                old, _ = self._known.popitem(last=False)
                self._slips.pop(old, None)
        return name

    def slip(self, name: str) -> Slip | None:
        """The pictures of an example; None if there is none any more.

        Raises what ``engrave`` raises.
        """
        with self._lock:
            shown = self._known.get(name)
        if shown is None:
            return None
        with self._drawing:
            if name not in self._slips:
                from workbook.builds.previews import slip  # the pages of a desk are up without

                self._slips[name] = slip(*shown)
            return self._slips[name]
