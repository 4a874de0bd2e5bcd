"""What becomes of a blank when it is marked."""

from __future__ import annotations

from enum import StrEnum


class Outcome(StrEnum):
    """NOT_MARKED stands where nobody has decided yet."""

    RIGHT = "right"
    WRONG = "wrong"
    EMPTY = "empty"
    NOT_MARKED = "not marked"
