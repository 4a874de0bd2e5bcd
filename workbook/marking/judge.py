"""Judges typed answers by the record of a workbook alone.

In: an item of a record, and the text typed in its blanks. Out: an outcome for each blank.
"""

from __future__ import annotations

from collections.abc import Mapping

from workbook.marking.outcome import Outcome
from workbook.marking.spelling import spelled
from workbook.record.model import Blank, Group, Item, Match


def judge(item: Item, given: Mapping[str, str]) -> dict[str, Outcome]:
    """The outcome (RIGHT, WRONG or EMPTY) of every blank of ``item``, by blank id.

    ``given`` has the typed text by blank id; a missing id counts as empty. A group is judged
    by the version that makes most of its boxes right, or the first such version. An empty
    box is right where it can stand for a dash. But if a whole row is empty and needed an
    entry, all its boxes are EMPTY.
    """
    typed = [given.get(blank.id, "").strip() for blank in item.blanks]
    wanted = [blank.answer for blank in item.blanks]
    for group in item.groups:
        version = _chosen(item, group, typed)
        for number, answer in zip(group.blanks, version, strict=True):
            wanted[number - 1] = answer
    found = {
        blank.id: _outcome(blank, answer, text)
        for blank, answer, text in zip(item.blanks, wanted, typed, strict=True)
    }
    for row in _untouched(item, typed):
        if any(found[name] != Outcome.RIGHT for name in row):
            found.update(dict.fromkeys(row, Outcome.EMPTY))
    return found


def _chosen(item: Item, group: Group, typed: list[str]) -> tuple[str, ...]:
    """The version with the most right boxes; the first one if several tie."""

    def right(version: tuple[str, ...]) -> int:
        return sum(
            _outcome(item.blanks[number - 1], answer, typed[number - 1]) == Outcome.RIGHT
            for number, answer in zip(group.blanks, version, strict=True)
        )

    return max(group.versions, key=right)


def _outcome(blank: Blank, answer: str, typed: str) -> Outcome:
    if not typed:
        right = "" in blank.accept or (
            blank.match == Match.CROSSING and _same(blank, typed, answer)
        )
        return Outcome.RIGHT if right else Outcome.EMPTY
    right = any(other and _same(blank, typed, other) for other in (answer, *blank.accept))
    return Outcome.RIGHT if right else Outcome.WRONG


def _same(blank: Blank, typed: str, accepted: str) -> bool:
    return spelled(blank.match, typed) == spelled(blank.match, accepted)


def _untouched(item: Item, typed: list[str]) -> list[list[str]]:
    """The blank ids of each row of boxes that is entirely empty."""
    rows: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for blank, text in zip(item.blanks, typed, strict=True):
        rows.setdefault((blank.asks, blank.hand), []).append((blank.id, text))
    return [[name for name, _ in row] for row in rows.values() if not any(text for _, text in row)]
