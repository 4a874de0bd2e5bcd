"""The short notation for marks: the exercises and boxes that are not right.

In: ``"2 5.3 11 17.1-4 8-"`` and a workbook record. Out: the outcome of every box. All boxes that
are not named are right.

======== =====================================================================
2        all boxes of exercise 2
5.3      box 3 of exercise 5, counted row by row, each row to its end
17.1-4   boxes 1 to 4
5.r3     box 3 of the right hand; ``l`` for the left
5.2,4    boxes 2 and 4
8-       empty instead of wrong; also ``8.3-`` and ``8.1-4-``
+5.3     right after all
22*      something in exercise 22 is wrong: which boxes will be asked
======== =====================================================================
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from workbook.errors import ExitCode, WorkbookError
from workbook.inputs.messages import plural, quoted
from workbook.marking.outcome import Outcome
from workbook.record.model import Item, Record

_WORD = re.compile(
    r"(?P<right>\+?)(?P<item>\d{1,6})(?:\.(?P<boxes>[rl]?\d[\drl,–-]*?))?(?P<ending>[-–*]?)"
)
_RANGE = re.compile(r"(?P<hand>[rl]?)(?P<first>\d{1,6})(?:[-–](?P<last>\d{1,6}))?")
_HANDS = {"r": "right", "l": "left"}


class NotUnderstood(WorkbookError):
    """A word of the notation is wrong; the text is a sentence for the teacher."""

    exit_code = ExitCode.BAD_INPUT


@dataclass(frozen=True)
class Marked:
    """What a line of the notation says.

    ``outcomes`` has the boxes named, by blank id. ``asked`` are the numbers of exercises whose
    boxes are still to be asked for.
    """

    outcomes: Mapping[str, Outcome]
    asked: tuple[int, ...]


def read_wrong(text: str, record: Record, outcome: Outcome = Outcome.WRONG) -> Marked:
    """The boxes that ``text`` names, each with ``outcome``, or EMPTY where it ends in a dash.

    Raises NotUnderstood with a line for each word that is wrong.
    """
    items = {item.number: item for item in record.items}
    found: dict[str, Outcome] = {}
    asked: list[int] = []
    wrong: list[str] = []
    for word in re.split(r"[\s;]+", text.strip().casefold()):
        try:
            if word:
                _read(word, items, outcome, found, asked)
        except NotUnderstood as error:
            wrong.append(str(error))
    if wrong:
        raise NotUnderstood("\n".join(wrong))
    return Marked(found, tuple(dict.fromkeys(asked)))


def _read(
    word: str,
    items: Mapping[int, Item],
    outcome: Outcome,
    found: dict[str, Outcome],
    asked: list[int],
) -> None:
    parts = _WORD.fullmatch(word)
    if not parts:
        raise NotUnderstood(
            f"{quoted(word)} is not understood; write 2 for exercise 2, 5.3 for its box 3"
        )
    item = items.get(int(parts["item"]))
    if item is None:
        last = max(items, default=0)
        raise NotUnderstood(
            f"{quoted(word)}: there is no exercise {parts['item']}; the last is {last}"
        )
    if parts["ending"] == "*":
        if parts["boxes"]:
            raise NotUnderstood(f"{quoted(word)}: write boxes or *, not both")
        asked.append(item.number)
        return
    boxes = read_boxes(parts["boxes"], item) if parts["boxes"] else [b.id for b in item.blanks]
    if parts["right"] and parts["ending"]:
        raise NotUnderstood(f"{quoted(word)}: a box cannot be both right and empty")
    new = Outcome.EMPTY if parts["ending"] else Outcome.RIGHT if parts["right"] else outcome
    for box in boxes:
        if found.setdefault(box, new) != new:
            raise NotUnderstood(f"{quoted(word)}: box {box} is named twice, with two outcomes")


def read_boxes(text: str, item: Item) -> list[str]:
    """The blank ids that ``"1-4"``, ``"2,5"`` or ``"r3"`` names in ``item``.

    Raises NotUnderstood.
    """
    boxes: list[str] = []
    hand = ""
    for part in filter(None, re.split(r"[,\s]+", text.casefold())):
        found = _RANGE.fullmatch(part)
        if not found:
            raise NotUnderstood(f"{quoted(part)} is not a box; write 3, 1-4 or r3")
        hand = found["hand"] or hand
        blanks = [b for b in item.blanks if not hand or b.hand == _HANDS[hand]]
        first, last = int(found["first"]), int(found["last"] or found["first"])
        if not 1 <= first <= last <= len(blanks):
            where = f" of the {_HANDS[hand]} hand" if hand else ""
            has = plural(len(blanks), "box", "boxes")
            raise NotUnderstood(
                f"{quoted(f'{item.number}.{part}')}: exercise {item.number} has {has}{where}"
            )
        boxes += [blank.id for blank in blanks[first - 1 : last]]
    return boxes


def all_but(
    record: Record, named: Mapping[str, Outcome], missing_pages: Iterable[int] = ()
) -> dict[str, Outcome]:
    """The outcome of every box: as ``named``, NOT_MARKED on missing pages, else RIGHT."""
    missing = set(missing_pages)
    return {
        blank.id: named.get(
            blank.id, Outcome.NOT_MARKED if blank.page in missing else Outcome.RIGHT
        )
        for blank in record.blanks
    }
