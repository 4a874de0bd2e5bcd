"""Other spellings of answers: one example of each kind, in words for a marker.

In: blanks, or what ``key.json`` says of them. Out: examples, and one line for each section
of a workbook in which no kind is named twice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from os.path import commonprefix
from typing import NamedTuple

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise
from workbook.marking.accepted import PLAYED, Answered, digits, other_answers

_NUMERALS = {"/": "no stroke (V65 for V6/5)", "4/2": "2 for 4/2", "°": "o for °"}
_SIGNS = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb"})

Kind = tuple[str, ...]
"""What spellings of answers on other notes, or with other numbers, have in common."""


class Spelling(NamedTuple):
    """An example of another spelling: what is asked ("" for everything), its kind, words."""

    asks: str
    kind: Kind
    words: str


def spellings(sections: Iterable[Iterable[Spelling]]) -> list[str]:
    """A line for each section: an example of each kind that no section before has; "" for none.

    ``"chord: Cm as C minor, min, -; E♭7 as …; # and b for ♯ and ♭"``
    """
    known: set[tuple[str, Kind]] = set()
    lines = []
    for section in sections:
        found: dict[str, list[str]] = {}
        for asks, kind, words in section:
            if (asks, kind) not in known:
                known.add((asks, kind))
                found.setdefault(asks, []).append(words)
        last = found.pop("", [])
        lines.append(
            "; ".join([*(f"{asks}: {'; '.join(kinds)}" for asks, kinds in found.items()), *last])
        )
    return lines


def spelled(exercise: Exercise) -> list[Spelling]:
    """The other spellings of what an exercise asks."""
    return others_spelled(exercise.asked)


def others_spelled(blanks: Iterable[Answered]) -> list[Spelling]:
    """Other spellings of the answers, one example of each kind."""
    found: dict[tuple[str, Kind], Spelling] = {}
    for blank in blanks:
        if not blank.also:
            continue
        for base, rest in _spelled(blank):
            for one in _examples(blank.asks, base, rest):
                found.setdefault((one.asks, one.kind), one)
    return list(found.values())


def _examples(asks: str, base: str, rest: list[str]) -> Iterator[Spelling]:
    """Examples of what is accepted, ``rest``, for an answer ``base``."""
    if asks == "numeral":
        for sign, words in _NUMERALS.items():
            if sign in base:
                yield Spelling(asks, (sign,), words)
        return
    typed = base.translate(_SIGNS)
    if typed != base and typed in rest:
        yield Spelling("", (), "# and b for ♯ and ♭")
    names = [name for name in rest if name == base or name != typed]
    if asks == "chord" and "/" not in base:
        for name in names:
            if "/" in name:
                yield Spelling(asks, ("/",), f"with the bass ({name})")
        names = [name for name in names if "/" not in name]
    if names and asks == "interval":
        yield from _interval(base, names)
    elif names:
        yield _example(asks, base, names)


def _interval(base: str, rest: list[str]) -> Iterator[Spelling]:
    """Other words for the quality and for the number."""
    parts = [_quality_and_number(name) for name in rest]
    for place, part in enumerate(_quality_and_number(base)):
        names = [name for name in dict.fromkeys(p[place] for p in parts) if name not in ("", part)]
        kind = tuple(re.sub(r"\d+(st|nd|rd|th)?", "n", name) for name in (part, *names))
        if names:
            yield Spelling("interval", kind, f"{part} as {', '.join(names)}")


def _quality_and_number(name: str) -> tuple[str, str]:
    """``("M", "3")``, ``("major", "3rd")``."""
    start = next(at for at, letter in enumerate(name) if letter.isdigit())
    return name[:start].rstrip(" "), name[start:]


def _example(asks: str, base: str, rest: list[str]) -> Spelling:
    kind = _kind(asks, base, rest)
    if asks == "chord":  # the root is named once, and a space more or less means nothing
        long = len(commonprefix([base, *rest]))  # noqa: RUF071  # of letters
        ends = dict.fromkeys(name[long:].strip() for name in rest if name.replace(" ", "") != base)
        space = " " * (len(rest[0]) > long and rest[0][long] == " ")
        first, *others = ends
        rest = [base[:long] + space + first, *others]
    return Spelling(asks, kind, f"{base} as {', '.join(rest)}")


def _spelled(blank: Answered) -> list[tuple[str, list[str]]]:
    """The answer, and what is accepted in its place, each with its other spellings."""
    if blank.asks in PLAYED:
        return [(blank.answer, ["an empty box"])] if "" in blank.also else []
    if blank.asks == "repair" and len(blank.also) > 1:  # a right note's name says that it is right
        return [(blank.answer, [blank.also[0], "the note’s name"])]
    apart = other_answers(blank)
    found: dict[str, list[str]] = {blank.answer: [], **{name: [] for name in apart}}
    for name in blank.also:
        if name in apart:
            continue
        base = blank.answer
        if blank.asks == "numeral" and apart and digits(name) != digits(base):
            base = apart[0]
        elif blank.asks in ("major", "minor"):
            base = next(known for known in found if name.casefold().startswith(known.casefold()))
        found[base].append(name)
    return [(base, rest) for base, rest in found.items() if rest]


def _kind(asks: str, base: str, rest: list[str]) -> Kind:
    """What spellings on other notes or of other numbers have in common."""
    names = [base, *rest]
    if KINDS[asks].alike == "root":
        long = len(commonprefix([name.casefold() for name in names]))  # noqa: RUF071  # of letters
        root = base[:long]
        names = [("=" if name[:long] == root else "~") + name[long:] for name in names]
    elif KINDS[asks].alike == "number":
        names = [re.sub(r"\d+", "n", name) for name in names]
    return tuple(names)
