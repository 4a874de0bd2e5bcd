"""Accepted alternatives: notes for the marker, one for each row of boxes.

In: blanks of an exercise or of a record. Out: a text for each row that has every alternative
with its position. Other spellings of an answer are in ``spellings``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from operator import attrgetter
from typing import Any, NamedTuple

from workbook.exercises.families import KINDS
from workbook.exercises.model import Exercise
from workbook.exercises.telling import joined, printed
from workbook.record.matching import Asked

PLAYED = tuple(name for name, kind in KINDS.items() if kind.played)
"""The kinds of blanks answered with a finger for each note of a run or a stack."""
_FEW = 3
"""Up to this many differing notes of a fingering are listed singly, more as a whole row."""


def box_rows(blanks: Iterable[Asked]) -> dict[tuple[str, str], list[Asked]]:
    """The blanks of each row of boxes, by (asks, hand)."""
    found: dict[tuple[str, str], list[Asked]] = {}
    for blank in blanks:
        found.setdefault((blank.asks, blank.hand), []).append(blank)
    return found


def alternatives(exercise: Exercise) -> dict[tuple[str, str], str]:
    """The alternatives (see ``others``) of each row of an exercise, by (asks, hand)."""
    return {key: others(row) for key, row in box_rows(exercise.asked).items()}


def others(row: Sequence[Asked]) -> str:
    """The accepted alternatives of one row, without other spellings; "" if there are none.

    ``"also note 4: 1"``; ``"or 2 1 4 2 1"``, a complete fingering of all notes or of some
    neighbouring ones; ``"also chords 1, 4: 5-2-1"``, low to high; ``"also 4: V6/5"``;
    ``"also G♭ for F♯"``.
    """
    return _others(tuple(map(ANSWER, row)))


class Answer(NamedTuple):
    """What matters about a blank to whoever marks it, the same for all who have the exercise."""

    asks: str
    hand: str
    column: int
    answer: str
    also: tuple[str, ...]
    versions: tuple[str, ...]


ANSWER = attrgetter(*Answer._fields)
"""The values of an ``Answer`` of a blank."""


@lru_cache(maxsize=4096)
def _others(answers: tuple[tuple[Any, ...], ...]) -> str:
    row = [Answer._make(answer) for answer in answers]
    if row[0].asks not in PLAYED:
        return _texts(row)
    columns = _columns(row)
    return _run(row) if len(columns) == len(row) else _stacks(columns)


def _columns(row: Sequence[Asked]) -> dict[int, list[Asked]]:
    found: dict[int, list[Asked]] = {}
    for blank in row:
        found.setdefault(blank.column, []).append(blank)
    return found


def _run(row: Sequence[Asked]) -> str:
    """The alternatives of a run: complete fingerings, or single notes if few differ."""
    fingerings: list[str] = []
    single: dict[int, list[str]] = {blank.column: [] for blank in row}
    whole: dict[int, set[str]] = {blank.column: set() for blank in row}
    for version in dict.fromkeys(zip(*(blank.versions for blank in row))):
        differing = [i for i, blank in enumerate(row) if version[i] != blank.answer]
        if len(differing) > _FEW:
            fingerings.append(_part(row, version, differing))
        for i in differing:
            if len(differing) > _FEW:
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
    return joined([*[f"also {notes}"] * bool(notes), *dict.fromkeys(fingerings)])


def _part(row: Sequence[Asked], version: tuple[str, ...], differing: list[int]) -> str:
    """A complete fingering, or only the half (up to the turn or after it) that differs."""
    turn = len(row) // 2 + 1
    start, end = 0, len(row)
    if differing[-1] < turn:
        end = turn
    elif differing[0] >= turn:
        start = turn
    where = f"notes {row[start].column + 1}–{row[end - 1].column + 1}: "
    return f"or {where * (end - start < len(row))}{' '.join(version[start:end])}"


def _stacks(columns: dict[int, list[Asked]]) -> str:
    """The alternatives of chords: complete ones from low to high, then single notes."""
    by_column = {}
    for column, stack in columns.items():
        main = tuple(blank.answer for blank in stack)
        chords = [
            one for one in dict.fromkeys(zip(*(blank.versions for blank in stack))) if one != main
        ]
        texts = ["-".join(one) for one in chords]
        for note, blank in enumerate(stack):
            single = [a for a in blank.also if a not in {one[note] for one in chords}]
            if single:
                texts.append(f"{' or '.join(single)} on note {note + 1} from below")
        by_column[column] = " or ".join(texts)
    grouped = _grouped("chord", by_column)
    return f"also {grouped}" if grouped else ""


def _grouped(noun: str, by_column: dict[int, str]) -> str:
    """``"notes 1, 15: 2; note 4: 1"``: columns with the same alternatives share an entry."""
    columns: dict[str, list[str]] = {}
    for column, alternative in by_column.items():
        if alternative:
            columns.setdefault(alternative, []).append(str(column + 1))
    return joined(
        [
            f"{noun}{'s' * (len(positions) > 1)}\u00a0{', '.join(positions)}:\u00a0"
            + alternative.replace(" ", "\u00a0")
            for alternative, positions in columns.items()
        ]
    )


def _texts(row: Sequence[Asked]) -> str:
    """The different answers accepted in a row that is not answered with fingers."""
    telling = KINDS[row[0].asks].telling
    if any(len(blank.versions) > 1 for blank in row):
        versions = list(dict.fromkeys(zip(*(blank.versions for blank in row))))
        return joined(["or " + one.replace(" ", "\u00a0") for one in telling.rows(versions)])
    texts = [
        telling.place(blank.column, blank.answer, other)
        for blank in row
        for other in telling.different(blank.answer, printed(blank.answer, blank.also))
    ]
    return "also " + joined([one.replace(" ", "\u00a0") for one in texts]) if texts else ""
