"""What the form fields of a sheet are called, and what they say to whoever fills them in.

In: a workbook record. Out: names and tooltips; and the blank that a name belongs to. A name has
the key code, so that files of several sheets can be joined.
"""

from __future__ import annotations

import re

from workbook.exercises.model import DRAWN
from workbook.record.model import Blank, Item

_NAME = re.compile(r"(?:.*[.])?([A-Z0-9]{3}-[A-Z0-9]{3}) (\d+)-(\d+)(?:[#_ ].*)?")
_INSTEAD = {
    "notes": "the names of the notes, from low to high",
    "signature": "the signs of the key signature, such as F♯ C♯",
    "keys": "the names of the keys to be shaded",
    "value": "the name of the note or rest",
    "beams": "how many notes each beam joins, such as 2 4",
    "bars": "the numbers of the notes and rests that bar lines follow",
}


def field_name(code: str, blank: Blank) -> str:
    """``"QWZ-6UR 5-3"``: a dot would split the name in two."""
    return f"{code} {blank.id.replace('.', '-')}"


def field_blank(name: str) -> tuple[str, str] | None:
    """The key code and blank id of a field's name; None if the field is not ours.

    Programs that join files may put something before or behind it.
    """
    found = _NAME.fullmatch(name)
    return (found[1], f"{found[2]}.{found[3]}") if found else None


def tooltip(item: Item, blank: Blank) -> str:
    """``"Exercise 5, box 3: finger, right hand"``: what a screen reader says."""
    number = blank.id.partition(".")[2]
    asks = _INSTEAD[blank.asks] if blank.asks in DRAWN else blank.asks
    hands = {other.hand for other in item.blanks}
    hand = f", {blank.hand} hand" if len(hands) > 1 else ""
    return f"Exercise {item.number}, box {number}: {asks}{hand}"
