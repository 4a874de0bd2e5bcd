"""The outcomes of marking a blank."""

from __future__ import annotations

from enum import StrEnum


class Outcome(StrEnum):
    """The outcome of one blank; NOT_MARKED until someone has decided."""

    RIGHT = "right"
    WRONG = "wrong"
    EMPTY = "empty"
    NOT_MARKED = "not marked"
