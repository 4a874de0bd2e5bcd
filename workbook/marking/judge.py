"""Typed answers judged by what the record of a workbook says, and nothing else.

In: an item of a record, and what was typed in its blanks. Out: an outcome for each blank.
"""

from __future__ import annotations

from collections.abc import Mapping

from workbook.marking.outcome import Outcome
from workbook.marking.spelling import spelled
from workbook.record.model import Blank, Group, Item, Match


def judge(item: Item, given: Mapping[str, str]) -> dict[str, Outcome]:
    """The outcome of every blank of ``item`` by its id: RIGHT, WRONG or EMPTY.

    ``given`` is what was typed by the ids of blanks; one that is missing is empty. Of the
    versions of a group, the one that agrees with most of it decides, the first of several.
    An empty box that stands for a dash is right; but in a row without any entry, where
    something was to be written, all boxes are EMPTY.
    """
    typed = [given.get(blank.id, "").strip() for blank in item.blanks]
    wanted = [blank.answer for blank in item.blanks]
    for group in item.groups:
        version = _chosen(item, group, typed)
        for place, answer in zip(group.blanks, version, strict=True):
            wanted[place - 1] = answer
    found = {
        blank.id: _outcome(blank, answer, text)
        for blank, answer, text in zip(item.blanks, wanted, typed, strict=True)
    }
    for row in _untouched(item, typed):
        if any(found[name] != Outcome.RIGHT for name in row):
            found.update(dict.fromkeys(row, Outcome.EMPTY))
    return found


def _chosen(item: Item, group: Group, typed: list[str]) -> tuple[str, ...]:
    """The version with the most right boxes; of several, the first."""

    def right(version: tuple[str, ...]) -> int:
        return sum(
            _outcome(item.blanks[place - 1], answer, typed[place - 1]) == Outcome.RIGHT
            for place, answer in zip(group.blanks, version, strict=True)
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
    """The ids of each row of boxes in which nothing was typed."""
    rows: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for blank, text in zip(item.blanks, typed, strict=True):
        rows.setdefault((blank.asks, blank.hand), []).append((blank.id, text))
    return [[name for name, _ in row] for row in rows.values() if not any(text for _, text in row)]
