"""The answers of an exercise as lines of text, to mark by on a screen.

In: an item of a workbook record. Out: a line for each row of boxes, its boxes numbered as in
the short notation (see ``wrong_boxes``).
"""

from __future__ import annotations

from collections.abc import Mapping

from workbook.marking.outcome import Outcome
from workbook.record.model import Item

_SIGNS = {Outcome.WRONG: "×", Outcome.EMPTY: "–", Outcome.NOT_MARKED: "?"}


def answer_lines(item: Item, outcomes: Mapping[str, Outcome] | None = None) -> list[str]:
    """The rows of boxes of ``item``, such as ``finger, right hand: 1=1 2=2 3=3``.

    Boxes that are not right in ``outcomes`` are followed by × (wrong), – (empty) or ?.
    """
    rows: dict[tuple[str, str], list[str]] = {}
    for number, blank in enumerate(item.blanks, 1):
        outcome = (outcomes or {}).get(blank.id, Outcome.RIGHT)
        text = f"{number}={blank.answer}{_SIGNS.get(outcome, '')}"
        rows.setdefault((blank.asks, blank.hand), []).append(text)
    hands = {hand for _, hand in rows}
    return [
        f"{asks}{f', {hand} hand' if len(hands) > 1 else ''}: {'  '.join(boxes)}"
        for (asks, hand), boxes in rows.items()
    ]
