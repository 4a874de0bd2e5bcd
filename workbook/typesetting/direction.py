"""Right-to-left text in the order in which it is drawn.

In: one line of text as it is read aloud. Out: the same line from left to right on the
page, Arabic letters in their joined forms. The order is that of the Unicode Bidirectional
Algorithm (UAX #9), computed by python-bidi; letters are joined by arabic-reshaper.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from arabic_reshaper import ArabicReshaper

# Every character of class R or AL (UAX #9, table 4) lies in these blocks.
_RIGHT_TO_LEFT = re.compile(
    "[\u0590-\u08ff\u200f\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U00010fff\U0001e800-\U0001efff]"
)
_ARABIC = re.compile("[\u0600-\u08ff]")
_JOINERS = "\u200c\u200d"
_NO_JOINERS = dict.fromkeys(map(ord, _JOINERS))

# Invisible combining marks round the marks of a letter: the library moves single
# characters, and these tell afterwards what belonged together and which way it ran.
_OPEN, _CLOSE = "\U000e0100", "\U000e0101"
_TAGS = {ord(_OPEN): None, ord(_CLOSE): None}
_OTHER = f"[^{_OPEN}{_CLOSE}]"
_TAGGED = re.compile(f"({_OTHER}){_OPEN}({_OTHER}*){_CLOSE}|{_CLOSE}({_OTHER}*){_OPEN}({_OTHER})")


def clusters(text: str) -> list[str]:
    r"""``text`` cut so that accents and vowel signs stay with their letter.

    >>> clusters("e\u0301a")
    ['é', 'a']
    """
    parts: list[str] = []
    for char in text:
        if parts and (char in _JOINERS or unicodedata.category(char).startswith("M")):
            parts[-1] += char
        else:
            parts.append(char)
    return parts


def visual(text: str) -> str:
    """``text`` as it stands on the page; text without right-to-left letters is unchanged.

    The line runs the way of its first letter (rules P2 and P3). Marks follow their
    letter (L3), and brackets in right-to-left text are mirrored (L4).
    """
    if not _RIGHT_TO_LEFT.search(text):
        return text
    from bidi import get_display

    line = " ".join(text.translate(_TAGS).splitlines())
    joined = _joined(line) if _ARABIC.search(line) else line
    ordered: str = get_display(_tagged(joined))
    return _TAGGED.sub(_as_drawn, ordered).translate(_TAGS)


def _tagged(text: str) -> str:
    """``text`` with tags wherever a letter has marks or a character has a mirror image.

    No tag anywhere else: it would part the digits of "3-4" (rule W4).
    """
    return "".join(
        f"{part[0]}{_OPEN}{part[1:]}{_CLOSE}"
        if len(part) > 1 or unicodedata.mirrored(part)
        else part
        for part in clusters(text.translate(_NO_JOINERS))
    )


def _as_drawn(found: re.Match[str]) -> str:
    """A tagged character and its marks; closed before it is opened, it runs right to left."""
    from bidi.mirror import MIRRORED

    left, marks, reversed_marks, right = found.groups()
    if left is not None:
        return f"{left}{marks}"
    return f"{MIRRORED.get(right, right)}{reversed_marks[::-1]}"


@cache
def _reshaper() -> ArabicReshaper:
    """Joins letters and keeps their marks; the only ligature is lam with alef.

    The word for God is left letter by letter: its sign is drawn with vowel marks in some
    fonts and not in others.
    """
    from arabic_reshaper import ArabicReshaper

    reshaper = ArabicReshaper(
        {
            "delete_harakat": False,
            "delete_tatweel": False,
            "support_zwj": True,
            "ARABIC LIGATURE ALLAH": False,
        }
    )
    reshaper.reshape("\u0644\u0627")  # its tables are made now, before threads share it
    return reshaper


def _joined(text: str) -> str:
    """``text`` with Arabic letters in their isolated, initial, medial and final forms."""
    joined: str = _reshaper().reshape(text)
    return joined
