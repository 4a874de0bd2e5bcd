"""How the answers of blanks are compared, and which blanks are judged together.

In: blanks of an exercise, or of a record of version 1, which has neither. Out: ``Match`` and
``Group``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from workbook.exercises.telling import typed
from workbook.record.model import Group, Match

DASHES = "-–—−‐‑‒―"
_MATCHES = {
    "chord": Match.CHORD,
    "key": Match.KEY,
    "major": Match.KEY,
    "minor": Match.KEY,
    "numeral": Match.NUMERAL,
    "harmony": Match.NUMERAL,
    "chromatic": Match.NUMERAL,
    "quality": Match.SYMBOL,
    "interval": Match.SYMBOL,
    "note": Match.NOTE,
    "repair": Match.NOTE,
    "notes": Match.NOTES,
    "keys": Match.NOTES,
    "signature": Match.IN_ORDER,
    "bars": Match.IN_ORDER,
    "beams": Match.IN_ORDER,
    "cross": Match.CROSSING,
}


class Asked(Protocol):
    """The attributes of a blank used here. See ``exercises.model.Blank``."""

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
    """How answers to ``asks`` are compared; TEXT for plain words and numbers."""
    return _MATCHES.get(asks, Match.TEXT)


def accepted_alone(blank: Asked) -> tuple[str, ...]:
    """The alternatives of a blank that are right whatever the other blanks hold.

    These are all but its versions, and all texts with ♯ and ♭ once more as they are typed. The
    answer of a blank with several versions belongs to one of them, and is not among these.
    ``Match.CROSSING`` implies that an empty box is right in place of a dash, so "" is left
    out there.
    """
    crossing = match_of(blank.asks) == Match.CROSSING
    alone = tuple(
        other
        for other in blank.also
        if not (len(blank.versions) > 1 and other in blank.versions)
        and not (crossing and other == "")
    )
    answer = (blank.answer,) if len(blank.versions) < 2 else ()
    return *alone, *typed((*answer, *alone))


def groups_of(blanks: Sequence[Asked]) -> tuple[Group, ...]:
    """The groups of an item: the notes of a run, or of one chord.

    Raises ValueError if the blanks of a group have different numbers of versions.
    """
    rows: dict[tuple[str, str], list[int]] = {}
    for number, blank in enumerate(blanks, 1):
        rows.setdefault((blank.asks, blank.hand), []).append(number)
    found = []
    for row in rows.values():
        columns: dict[int, list[int]] = {}
        for number in row:
            columns.setdefault(blanks[number - 1].column, []).append(number)
        wholes = [row] if len(columns) == len(row) else list(columns.values())
        found += [group for whole in wholes if (group := _group(blanks, whole))]
    return tuple(found)


def _group(blanks: Sequence[Asked], whole: list[int]) -> Group | None:
    """The group of the blanks numbered in ``whole``, or None if there is only one version."""
    several = [number for number in whole if len(blanks[number - 1].versions) > 1]
    versions = tuple(
        dict.fromkeys(zip(*(blanks[number - 1].versions for number in several), strict=True))
    )
    return Group(tuple(several), versions) if len(versions) > 1 else None
