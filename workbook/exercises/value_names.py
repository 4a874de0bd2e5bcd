"""What note values are called: ``quarter note`` or ``crotchet``, and what else is accepted.

Both sets of names are those of any dictionary of music; from memory.
"""

from __future__ import annotations

from workbook.exercises.blanks import Answer
from workbook.music.naming import Naming
from workbook.music.rhythm import Value

_NAMES = {
    1: ("whole", "semibreve"),
    2: ("half", "minim"),
    4: ("quarter", "crotchet"),
    8: ("eighth", "quaver"),
    16: ("sixteenth", "semiquaver"),
}
_DOTS = ("", "dotted ", "double dotted ")


def value_name(value: Value, naming: Naming, rest: bool = False) -> str:
    """``"dotted quarter note"``, ``"crotchet rest"``."""
    american, british = _NAMES[value.base]
    dots = _DOTS[value.dots]
    if naming.british:
        return f"{dots}{british}{' rest' * rest}"
    return f"{dots}{american} {'rest' if rest else 'note'}"


def plural_name(value: Value, naming: Naming) -> str:
    """``"eighth notes"``, ``"quavers"``."""
    return f"{value_name(value, naming)}s"


def value_answer(value: Value, naming: Naming, rest: bool = False) -> Answer:
    """The name, in America without “note”, and what else is accepted: the whole name, the other
    side's words, and the fraction.
    """
    american, british = _NAMES[value.base]
    dots = _DOTS[value.dots]
    end = " rest" if rest else ""
    every = [
        f"{dots}{american} {'rest' if rest else 'note'}",
        f"{dots}{british}{end}",
        f"{dots}{british} {'rest' if rest else 'note'}",
    ]
    if not rest:
        every.append(f"{dots}{american}")
    if value.base > 1:
        every.append(f"{dots}1/{value.base}{end}")
    answer = value_name(value, naming, rest).removesuffix(" note")
    return answer, tuple(one for one in dict.fromkeys(every) if one != answer)
