"""The alternatives that are accepted in a row of boxes, in words for a marker.

In: blanks, or what ``key.json`` says of them. Out: one line for a row: each alternative with
its position. Other spellings of an answer are in ``spellings``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Protocol

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise

PLAYED = tuple(name for name, kind in KINDS.items() if kind.played)
"""What is answered with a finger for each note of a run, or of a stack."""
_FEW = 3
"""So many differing notes of another fingering are told one by one, more as a whole row."""
_FIGURED = re.compile(r"\d/\d")


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
        for other in other_answers(blank)
    ]
    return "also " + ", ".join(one.replace(" ", "\u00a0") for one in told) if told else ""


def other_answers(blank: Answered) -> list[str]:
    """The alternatives that are other answers, not other spellings of the answer: the figures
    of an inversion, another name of the key.
    """
    if blank.asks == "numeral" and not _FIGURED.search(blank.answer):
        return [name for name in blank.also if digits(name) != digits(blank.answer)][:1]
    if blank.asks in ("major", "minor"):
        found: list[str] = []
        for name in blank.also:
            if not any(
                name.casefold().startswith(known.casefold()) for known in (blank.answer, *found)
            ):
                found.append(name)
        return found
    return []


def digits(name: str) -> str:
    """The digits of a numeral: its inversion."""
    return "".join(filter(str.isdigit, name))
