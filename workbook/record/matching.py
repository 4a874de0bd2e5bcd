"""Which blanks are compared how, and which of them belong together.

In: what blanks ask, their answers. Out: ``Match`` and ``Group``; the same for an exercise
and for a record of version 1, which says neither.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from workbook.record.model import Group, Match

DASHES = "-–—−‐‑‒―"
_MATCHES = {
    "chord": Match.CHORD,
    "key": Match.KEY,
    "major": Match.KEY,
    "minor": Match.KEY,
    "numeral": Match.NUMERAL,
    "quality": Match.SYMBOL,
    "interval": Match.SYMBOL,
    "note": Match.NOTE,
    "repair": Match.NOTE,
    "notes": Match.NOTES,
    "keys": Match.NOTES,
    "signature": Match.IN_ORDER,
    "cross": Match.CROSSING,
}


class Asked(Protocol):
    """What is read of a blank. See ``exercises.model.Blank``."""

    @property
    def asks(self) -> str: ...
    @property
    def hand(self) -> str: ...
    @property
    def column(self) -> int: ...
    @property
    def answer(self) -> str: ...
    @property
    def also(self) -> tuple[str, ...]: ...
    @property
    def versions(self) -> tuple[str, ...]: ...


def match_of(asks: str) -> Match:
    """How answers to what a blank asks are compared: TEXT unless letters mean more."""
    return _MATCHES.get(asks, Match.TEXT)


def accepted_alone(blank: Asked) -> tuple[str, ...]:
    """The other answers of a blank that need no other blank: all but its versions.

    An empty box in place of a dash goes without saying where ``Match.CROSSING`` is said.
    """
    crossing = match_of(blank.asks) == Match.CROSSING
    return tuple(
        other
        for other in blank.also
        if not (len(blank.versions) > 1 and other in blank.versions)
        and not (crossing and other == "")
    )


def groups_of(blanks: Sequence[Asked]) -> tuple[Group, ...]:
    """The groups of an item: the notes of a run, or the notes of one chord.

    Raises ValueError if the blanks of a group have not equally many versions.
    """
    rows: dict[tuple[str, str], list[int]] = {}
    for place, blank in enumerate(blanks, 1):
        rows.setdefault((blank.asks, blank.hand), []).append(place)
    found = []
    for row in rows.values():
        columns: dict[int, list[int]] = {}
        for place in row:
            columns.setdefault(blanks[place - 1].column, []).append(place)
        wholes = [row] if len(columns) == len(row) else list(columns.values())
        found += [group for whole in wholes if (group := _group(blanks, whole))]
    return tuple(found)


def _group(blanks: Sequence[Asked], whole: list[int]) -> Group | None:
    """None where there is but one version."""
    several = [place for place in whole if len(blanks[place - 1].versions) > 1]
    versions = tuple(
        dict.fromkeys(zip(*(blanks[place - 1].versions for place in several), strict=True))
    )
    return Group(tuple(several), versions) if len(versions) > 1 else None
