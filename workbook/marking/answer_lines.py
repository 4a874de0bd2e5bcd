"""The answers of an exercise row by row, for marking on a screen.

In: an item of a workbook record. Out: its rows of boxes, or a line of text for each, its boxes
numbered as in the short notation (see ``wrong_boxes``).
"""

from __future__ import annotations

from collections.abc import Mapping

from workbook.exercises.families import KINDS
from workbook.marking.outcome import Outcome
from workbook.record.model import Blank, Item

_SIGNS = {Outcome.WRONG: "×", Outcome.EMPTY: "–", Outcome.NOT_MARKED: "?"}


def answer_rows(item: Item) -> list[tuple[str, list[tuple[int, Blank]]]]:
    """The rows of boxes of ``item``: what is asked, and the boxes with their numbers from 1."""
    rows: dict[tuple[str, str], list[tuple[int, Blank]]] = {}
    for number, blank in enumerate(item.blanks, 1):
        rows.setdefault((blank.asks, blank.hand), []).append((number, blank))
    hands = {hand for _, hand in rows}
    return [
        (f"{_title(asks)}{f', {hand} hand' if len(hands) > 1 else ''}", boxes)
        for (asks, hand), boxes in rows.items()
    ]


def answer_lines(item: Item, outcomes: Mapping[str, Outcome] | None = None) -> list[str]:
    """The rows of boxes of ``item``, such as ``Finger, right hand: 1=1  2=2  3=3``.

    Boxes that are not right in ``outcomes`` are followed by × (wrong), – (empty) or ?.
    """
    signs = {blank: _SIGNS.get(outcome, "") for blank, outcome in (outcomes or {}).items()}
    return [
        f"{asked}: "
        + "  ".join(f"{number}={one.answer}{signs.get(one.id, '')}" for number, one in boxes)
        for asked, boxes in answer_rows(item)
    ]


def _title(asks: str) -> str:
    """What a row asks for, as the tables of a sheet call it."""
    return KINDS[asks].title if asks in KINDS else asks.capitalize()
