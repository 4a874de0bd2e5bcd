"""Other spellings to accept: notes for the marker, one example of each kind.

In: blanks of an exercise or of a record. Out: examples, and one line for each section of a
workbook. No kind appears in two sections.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from os.path import commonprefix
from typing import NamedTuple

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise
from workbook.marking.accepted import PLAYED, digits, other_answers
from workbook.record.matching import Asked

_NUMERALS = {"/": "no stroke (V65 for V6/5)", "4/2": "2 for 4/2", "°": "o for °"}
_SIGNS = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb"})

Kind = tuple[str, ...]
"""What spellings have in common whatever the note or the number in them."""


class Spelling(NamedTuple):
    """An example of another spelling: ``asks`` ("" for all rows), its kind, and its text."""

    asks: str
    kind: Kind
    text: str


def spellings(sections: Iterable[Iterable[Spelling]]) -> list[str]:
    """One line for each section, with an example of each kind new to the workbook.

    A section with no new kind gets "".
    ``"chord: Cm as C minor, min, -; E♭7 as …; # and b for ♯ and ♭"``
    """
    known: set[tuple[str, Kind]] = set()
    lines = []
    for section in sections:
        found: dict[str, list[str]] = {}
        for asks, kind, text in section:
            if (asks, kind) not in known:
                known.add((asks, kind))
                found.setdefault(asks, []).append(text)
        last = found.pop("", [])
        lines.append(
            "; ".join([*(f"{asks}: {'; '.join(texts)}" for asks, texts in found.items()), *last])
        )
    return lines


def spelled(exercise: Exercise) -> list[Spelling]:
    """Other spellings of the answers of an exercise, one example of each kind."""
    return others_spelled(exercise.asked)


def others_spelled(blanks: Iterable[Asked]) -> list[Spelling]:
    """Other spellings of the answers, one example of each kind."""
    found: dict[tuple[str, Kind], Spelling] = {}
    for blank in blanks:
        if not blank.also:
            continue
        for answer, others in _spelled(blank):
            for example in _examples(blank.asks, answer, others):
                found.setdefault((example.asks, example.kind), example)
    return list(found.values())


def _examples(asks: str, answer: str, others: list[str]) -> Iterator[Spelling]:
    """Examples of the ``others`` that are accepted as spellings of ``answer``."""
    if asks == "numeral":
        for sign, text in _NUMERALS.items():
            if sign in answer:
                yield Spelling(asks, (sign,), text)
        return
    typed = answer.translate(_SIGNS)
    if typed != answer and typed in others:
        yield Spelling("", (), "# and b for ♯ and ♭")
    names = [name for name in others if name == answer or name != typed]
    if asks == "chord" and "/" not in answer:
        for name in names:
            if "/" in name:
                yield Spelling(asks, ("/",), f"with the bass ({name})")
        names = [name for name in names if "/" not in name]
    if names and asks == "interval":
        yield from _interval(answer, names)
    elif names:
        yield _example(asks, answer, names)


def _interval(answer: str, others: list[str]) -> Iterator[Spelling]:
    """Examples for the quality and for the number of an interval."""
    parts = [_quality_and_number(name) for name in others]
    for index, part in enumerate(_quality_and_number(answer)):
        names = [name for name in dict.fromkeys(p[index] for p in parts) if name not in ("", part)]
        kind = tuple(re.sub(r"\d+(st|nd|rd|th)?", "n", name) for name in (part, *names))
        if names:
            yield Spelling("interval", kind, f"{part} as {', '.join(names)}")


def _quality_and_number(name: str) -> tuple[str, str]:
    """The two parts of an interval's name: ``("M", "3")``, ``("major", "3rd")``."""
    start = next(index for index, char in enumerate(name) if char.isdigit())
    return name[:start].rstrip(" "), name[start:]


def _example(asks: str, answer: str, others: list[str]) -> Spelling:
    kind = _kind(asks, answer, others)
    names = others
    if asks == "chord":  # name the root once, and ignore variants that differ only in spaces
        root = commonprefix([answer, *others])  # noqa: RUF071  # of characters, not of paths
        first, *more = dict.fromkeys(
            name.removeprefix(root).strip() for name in others if name.replace(" ", "") != answer
        )
        space = " " * others[0].removeprefix(root).startswith(" ")
        names = [root + space + first, *more]
    return Spelling(asks, kind, f"{answer} as {', '.join(names)}")


def _spelled(blank: Asked) -> list[tuple[str, list[str]]]:
    """The answer and each different answer accepted, with their other spellings."""
    if blank.asks in PLAYED:
        return [(blank.answer, ["an empty box"])] if "" in blank.also else []
    if blank.asks == "repair" and len(blank.also) > 1:  # naming a right note means it is right
        return [(blank.answer, [blank.also[0], "the note’s name"])]
    different = other_answers(blank)
    found: dict[str, list[str]] = {blank.answer: [], **{name: [] for name in different}}
    for name in blank.also:
        if name in different:
            continue
        answer = blank.answer
        if blank.asks == "numeral" and different and digits(name) != digits(answer):
            answer = different[0]
        elif blank.asks in ("major", "minor"):
            answer = next(known for known in found if name.casefold().startswith(known.casefold()))
        found[answer].append(name)
    return [(answer, others) for answer, others in found.items() if others]


def _kind(asks: str, answer: str, others: list[str]) -> Kind:
    """What an answer and its other spellings show with the root or the number taken out."""
    names = [answer, *others]
    if KINDS[asks].alike == "root":
        length = len(commonprefix([name.casefold() for name in names]))  # noqa: RUF071  # characters
        root = answer[:length]
        names = [("=" if name[:length] == root else "~") + name[length:] for name in names]
    elif KINDS[asks].alike == "number":
        names = [re.sub(r"\d+", "n", name) for name in names]
    return tuple(names)
