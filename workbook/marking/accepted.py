"""What else is right: the accepted answers of blanks in the words of whoever marks.

In: blanks, or what ``key.json`` says of them. Out: the alternatives of one row of boxes,
each with its place, and the other spellings of all boxes of a book, each once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from os.path import commonprefix
from typing import NamedTuple, Protocol

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise

PLAYED = tuple(name for name, kind in KINDS.items() if kind.played)
"""What is answered with a finger for each note of a run, or of a stack."""
_FEW = 3
"""So many differing notes of another fingering are told one by one, more as a whole row."""
_FIGURED = re.compile(r"\d/\d")
_NUMERALS = {"/": "no stroke (V65 for V6/5)", "4/2": "2 for 4/2", "°": "o for °"}
_SIGNS = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb"})


class Answered(Protocol):
    """What is read of a blank; ``column`` counts from 0. See ``model.Blank``."""

    @property
    def asks(self) -> str: ...
    @property
    def hand(self) -> str: ...
    @property
    def column(self) -> int: ...
    @property
    def answer(self) -> str: ...
    @property
    def also(self) -> tuple[str, ...]: ...
    @property
    def versions(self) -> tuple[str, ...]: ...


class Spelling(NamedTuple):
    """An example of another spelling: what is asked ("" for all), a name for its kind, words."""

    asks: str
    kind: tuple
    words: str


def rows(blanks: Iterable[Answered]) -> dict[tuple[str, str], list[Answered]]:
    """The blanks of each row of boxes, by what it asks and its hand."""
    found: dict[tuple[str, str], list[Answered]] = {}
    for blank in blanks:
        found.setdefault((blank.asks, blank.hand), []).append(blank)
    return found


def alternatives(exercise: Exercise) -> dict[tuple[str, str], str]:
    """``others`` of each row of an exercise, by what it asks and its hand."""
    return {place: others(row) for place, row in rows(exercise.asked).items()}


def others(row: Sequence[Answered]) -> str:
    """What is accepted in the boxes of one row beside the answers, other spellings apart.

    ``"also note 4: 1"``; ``"or 2 1 4 2 1"``, another fingering of all the notes (or of some
    neighbouring ones) to be taken whole; ``"also chords 1, 4: 5-2-1"``, low to high;
    ``"also 4: V6/5"``; ``"also G♭ for F♯"``; "" for nothing.
    """
    if row[0].asks not in PLAYED:
        return _words(row)
    columns = _columns(row)
    return _run(row) if len(columns) == len(row) else _stacks(columns)


def spellings(sections: Iterable[Iterable[Spelling]]) -> list[str]:
    """What is told of each section: one example of each kind, and no kind twice; "" for nothing.

    ``"chord: Cm as C minor, min, -; E♭7 as …; # and b for ♯ and ♭"``
    """
    known: set[tuple[str, tuple]] = set()
    told = []
    for section in sections:
        found: dict[str, list[str]] = {}
        for asks, kind, words in section:
            if (asks, kind) not in known:
                known.add((asks, kind))
                found.setdefault(asks, []).append(words)
        last = found.pop("", [])
        told.append(
            "; ".join([*(f"{asks}: {'; '.join(kinds)}" for asks, kinds in found.items()), *last])
        )
    return told


def spelled(exercise: Exercise) -> list[Spelling]:
    """``others_spelled`` of what an exercise asks."""
    return others_spelled(exercise.asked)


def others_spelled(blanks: Iterable[Answered]) -> list[Spelling]:
    """Other spellings of the answers, one example of each kind."""
    found: dict[tuple[str, tuple], Spelling] = {}

    def tell(asks: str, kind: tuple, words: str) -> None:
        found.setdefault((asks, kind), Spelling(asks, kind, words))

    for blank in blanks:
        for base, rest in _spelled(blank) if blank.also else ():
            if blank.asks == "numeral":
                for kind, words in _NUMERALS.items():
                    if kind in base:
                        tell("numeral", (kind,), words)
                continue
            typed = base.translate(_SIGNS)
            if typed != base and typed in rest:
                tell("", (), "# and b for ♯ and ♭")
            rest = [name for name in rest if name == base or name != typed]
            if blank.asks == "chord" and "/" not in base:
                for name in rest:
                    if "/" in name:
                        tell("chord", ("/",), f"with the bass ({name})")
                rest = [name for name in rest if "/" not in name]
            if rest:
                _tell_words(blank.asks, base, rest, tell)
    return list(found.values())


def _tell_words(
    asks: str, base: str, rest: list[str], tell: Callable[[str, tuple, str], None]
) -> None:
    if asks == "interval":
        quality, number = re.fullmatch(r"(\D*)(\d+)", base).groups()
        parts = [re.fullmatch(r"(\D*?) ?(\d+\D*)", name).groups() for name in rest]
        for part, names in ((quality, [p for p, _ in parts]), (number, [p for _, p in parts])):
            names = [name for name in dict.fromkeys(names) if name not in ("", part)]
            kind = [re.sub(r"\d+(st|nd|rd|th)?", "n", name) for name in (part, *names)]
            if names:
                tell(asks, tuple(kind), f"{part} as {', '.join(names)}")
        return
    kind = _kind(asks, base, rest)
    if asks == "chord":  # the root is said once, and a space more or less says nothing
        long = len(commonprefix([base, *rest]))  # noqa: RUF071  # of letters
        ends = dict.fromkeys(name[long:].strip() for name in rest if name.replace(" ", "") != base)
        rest = [
            base[:long] + (" " * (len(rest[0]) > long and rest[0][long] == " ")) + next(iter(ends)),
            *list(ends)[1:],
        ]
    tell(asks, kind, f"{base} as {', '.join(rest)}")


def _columns(row: Sequence[Answered]) -> dict[int, list[Answered]]:
    found: dict[int, list[Answered]] = {}
    for blank in row:
        found.setdefault(blank.column, []).append(blank)
    return found


def _run(row: Sequence[Answered]) -> str:
    """Whole fingerings as rows; what differs in few notes note by note."""
    told: list[str] = []
    single: dict[int, list[str]] = {blank.column: [] for blank in row}
    whole: dict[int, set[str]] = {blank.column: set() for blank in row}
    for version in dict.fromkeys(zip(*(blank.versions for blank in row))):
        places = [i for i, blank in enumerate(row) if version[i] != blank.answer]
        if len(places) > _FEW:
            told.append(_part(row, version, places))
        for i in places:
            if len(places) > _FEW:
                whole[row[i].column].add(version[i])
            else:
                single[row[i].column].append(version[i])
    for blank in row:
        single[blank.column] += [a for a in blank.also if a not in whole[blank.column]]
    notes = _grouped(
        "note",
        {
            column: " or ".join(dict.fromkeys(filter(None, digits)))
            for column, digits in single.items()
        },
    )
    return ", ".join([*[f"also {notes}"] * bool(notes), *dict.fromkeys(told)])


def _part(row: Sequence[Answered], version: tuple[str, ...], places: list[int]) -> str:
    """A whole fingering, or its half that differs: up to the turn, or after it."""
    turn = len(row) // 2 + 1
    start, end = 0, len(row)
    if places[-1] < turn:
        end = turn
    elif places[0] >= turn:
        start = turn
    where = f"notes {row[start].column + 1}–{row[end - 1].column + 1}: "
    return f"or {where * (end - start < len(row))}{' '.join(version[start:end])}"


def _stacks(columns: dict[int, list[Answered]]) -> str:
    """Whole chords, low to high; where none are known, what differs note by note."""
    told = {}
    for column, stack in columns.items():
        main = tuple(blank.answer for blank in stack)
        chords = [
            one for one in dict.fromkeys(zip(*(blank.versions for blank in stack))) if one != main
        ]
        said = ["-".join(one) for one in chords]
        for note, blank in enumerate(stack):
            rest = [a for a in blank.also if a not in {one[note] for one in chords}]
            if rest:
                said.append(f"{' or '.join(rest)} on note {note + 1} from below")
        told[column] = " or ".join(said)
    grouped = _grouped("chord", told)
    return f"also {grouped}" if grouped else ""


def _grouped(noun: str, told: dict[int, str]) -> str:
    """``"notes 1, 15: 2, note 4: 1"``: places with the same alternatives together."""
    places: dict[str, list[str]] = {}
    for column, said in told.items():
        if said:
            places.setdefault(said, []).append(str(column + 1))
    return ", ".join(
        f"{noun}{'s' * (len(where) > 1)}\u00a0{', '.join(where)}:\u00a0"
        + said.replace(" ", "\u00a0")
        for said, where in places.items()
    )


def _words(row: Sequence[Answered]) -> str:
    told = [
        f"{other} for {blank.answer}"
        if row[0].asks in ("major", "minor")
        else f"{blank.column + 1}: {other}"
        for blank in row
        for other in _apart(blank)
    ]
    return "also " + ", ".join(one.replace(" ", "\u00a0") for one in told) if told else ""


def _apart(blank: Answered) -> list[str]:
    """The alternatives that are other answers, not other spellings of the answer: the figures
    of an inversion, another name of the key.
    """
    if blank.asks == "numeral" and not _FIGURED.search(blank.answer):
        return [name for name in blank.also if _digits(name) != _digits(blank.answer)][:1]
    if blank.asks in ("major", "minor"):
        found: list[str] = []
        for name in blank.also:
            if not any(
                name.casefold().startswith(known.casefold()) for known in (blank.answer, *found)
            ):
                found.append(name)
        return found
    return []


def _spelled(blank: Answered) -> list[tuple[str, list[str]]]:
    """The answer, and what is accepted in its place, each with its other spellings."""
    if blank.asks in PLAYED:
        return [(blank.answer, ["an empty box"])] if "" in blank.also else []
    if blank.asks == "repair" and len(blank.also) > 1:  # a right note's name says that it is right
        return [(blank.answer, [blank.also[0], "the note’s name"])]
    apart = _apart(blank)
    found: dict[str, list[str]] = {blank.answer: [], **{name: [] for name in apart}}
    for name in blank.also:
        if name in apart:
            continue
        base = blank.answer
        if blank.asks == "numeral" and apart and _digits(name) != _digits(base):
            base = apart[0]
        elif blank.asks in ("major", "minor"):
            base = next(known for known in found if name.casefold().startswith(known.casefold()))
        found[base].append(name)
    return [(base, rest) for base, rest in found.items() if rest]


def _digits(name: str) -> str:
    return "".join(filter(str.isdigit, name))


def _kind(asks: str, base: str, rest: list[str]) -> tuple:
    """What spellings on other notes or of other numbers have in common."""
    names = [base, *rest]
    if KINDS[asks].alike == "root":
        long = len(commonprefix([name.casefold() for name in names]))  # noqa: RUF071  # of letters
        root = base[:long]
        names = [("=" if name[:long] == root else "~") + name[long:] for name in names]
    elif KINDS[asks].alike == "number":
        names = [re.sub(r"\d+", "n", name) for name in names]
    return tuple(names)
