"""Roman numerals as text: a numeral or a whole progression taken apart.

In: what a teacher wrote, ``"ii6"``, ``"V6/5/V"``, ``"I vi ii6 V7 I"``. Out: its parts.
Which chord a numeral is in a key, ``chords.harmony`` decides.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")
TRIAD_FIGURES = ("", "6", "6/4")
SEVENTH_FIGURES = ("7", "6/5", "4/3", "4/2")
MOST = 12
"""The most chords in a progression: two lines of music hold no more."""

_FIGURES = {
    "": "",
    "5": "",
    "53": "",
    "6": "6",
    "63": "6",
    "64": "6/4",
    "7": "7",
    "65": "6/5",
    "43": "4/3",
    "42": "4/2",
    "2": "4/2",
}
_SIGNS = {"°": "°", "º": "°", "o": "°", "ø": "ø", "Ø": "ø", "+": "+", "": ""}
_PARTS = re.compile(r"([IViv]+)([°ºoøØ+]?)(\d*(?:/\d+)*)(?:/([IViv]+[°ºoøØ+]?))?\Z")
_BETWEEN = re.compile(r"[\s,;|–—-]+")
_EXAMPLE = "write for example I, ii6, V7, vii°6 or V7/V"
_OUTSIDE = re.compile(r"[b#♭♯]+[IViv]|(N|It|Fr|Ger)\+?\d*(/\d)?\Z")


@dataclass(frozen=True)
class Written:
    """A numeral's parts: degree 1 to 7, case, sign (° ø + or none), figures, target.

    ``figures`` is one of ``TRIAD_FIGURES`` or ``SEVENTH_FIGURES``; ``target`` is the chord
    that an applied dominant belongs to, or None.
    """

    text: str
    degree: int
    upper: bool
    sign: str
    figures: str
    target: Written | None = None

    @property
    def seventh(self) -> bool:
        return self.figures in SEVENTH_FIGURES

    @property
    def inversion(self) -> int:
        """0 for root position, up to 3 for the seventh in the bass."""
        row = SEVENTH_FIGURES if self.seventh else TRIAD_FIGURES
        return row.index(self.figures)


@lru_cache(maxsize=1024)
def parse(text: str) -> Written:
    """The parts of one numeral. Raises ValueError with a message for the teacher."""
    if _OUTSIDE.match(text):
        raise ValueError(
            f'"{_short(text)}" is borrowed or altered; a progression has the chords '
            "of its key and their dominants, such as ii6, V7 or V7/V"
        )
    match = _PARTS.match(text)
    roman = match[1] if match else ""
    if not match or roman.upper() not in ROMAN or not (roman.isupper() or roman.islower()):
        raise ValueError(f'"{_short(text)}" is not a Roman numeral; {_EXAMPLE}')
    figures = match[3].replace("/", "")
    if figures not in _FIGURES:
        raise ValueError(
            f'"{_short(text)}" has the figures {_short(match[3])}; write 6, 6/4, 7, 6/5, 4/3 or 4/2'
        )
    target = parse(match[4]) if match[4] else None
    return Written(
        text,
        ROMAN.index(roman.upper()) + 1,
        roman.isupper(),
        _SIGNS[match[2]],
        _FIGURES[figures],
        target,
    )


@lru_cache(maxsize=256)
def split(text: str) -> tuple[str, ...]:
    """The numerals of a progression, between spaces, dashes, commas or bars.

    Raises ValueError with a line for each part that is not a numeral, or if there are fewer
    than two or more than ``MOST``.
    """
    found = [part for part in _BETWEEN.split(text) if part]
    if not 2 <= len(found) <= MOST:
        raise ValueError(
            f"{len(found) or 'no'} chord{'s' * (len(found) != 1)} in a progression; "
            f'write 2 to {MOST} numerals, such as "I IV V7 I"'
        )
    wrong = []
    for numeral in found:
        try:
            parse(numeral)
        except ValueError as error:
            wrong.append(str(error))
    if wrong:
        raise ValueError("\n".join(dict.fromkeys(wrong)))
    return tuple(found)


def _short(text: str) -> str:
    return text if len(text) <= 20 else text[:19] + "…"
