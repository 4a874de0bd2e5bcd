"""What families that are read from a clef share: registers, spellings, key signatures.

In: music as functions of an octave. Out: columns, each in a register of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from itertools import product
from random import Random
from typing import TypeVar

from workbook.exercises.common import Columns
from workbook.exercises.model import Request
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, alteration, letter, staff_degree
from workbook.music.register import octaves
from workbook.music.scales import ascending

Music = Callable[[int], tuple[Pitch, ...]]
"""The notes of a column, low to high, for an octave."""
Choice = TypeVar("Choice")

SIGNATURES = ("accidentals", "printed")
"""Whether staves begin with the key signature, or each note bears its own sign."""


def moved(p: Pitch, octaves_up: int) -> Pitch:
    """The pitch so many octaves higher, or lower if negative."""
    return above(p, f"{'-' if octaves_up < 0 else ''}P{7 * abs(octaves_up) + 1}")


def settle(request: Request, music: dict[str, list[Music]], rng: Random) -> dict[str, Columns]:
    """The columns of each side, each in an octave that keeps within the ledger lines.

    On two staves the left column lies wholly below the right one where it can, and one
    ledger line is the most, so that the staves keep clear of each other.
    """
    most = min(request.ledger_lines, 1) if len(music) > 1 else request.ledger_lines
    found: dict[str, Columns] = {side: [] for side in music}
    for columns in zip(*music.values()):
        choices = list(
            product(
                *(
                    [column(at) for at in octaves(side, column, most)]
                    for side, column in zip(music, columns)
                )
            )
        )
        apart = [
            choice
            for choice in choices
            if len(choice) == 1
            or max(map(staff_degree, choice[1])) < min(map(staff_degree, choice[0]))
        ]
        for side, notes in zip(music, rng.choice(apart or choices)):
            found[side].append(notes)
    return found


@cache
def key_notes(key: Key, octave: int = 4) -> tuple[Pitch, ...]:
    """The notes of a key from its tonic up, in minor with both seventh degrees."""
    if not key.minor:
        return ascending(key, "major", octave)[:7]
    return ascending(key, "natural", octave)[:7] + (ascending(key, "harmonic", octave)[6],)


@cache
def _own(key: Key) -> frozenset[tuple[str, int]]:
    return frozenset((letter(p), alteration(p)) for p in key_notes(key))


def belongs(key: Key, notes: Iterable[Pitch]) -> bool:
    """Whether all ``notes`` are notes of the key."""
    return all((letter(p), alteration(p)) in _own(key) for p in notes)


def ranked(
    key: Key, choices: Iterable[Choice], notes: Callable[[Choice], tuple[Pitch, ...]], own: bool
) -> list[tuple[tuple, Choice]]:
    """Each of the choices whose ``notes`` can be written, after its rank, low for the better.

    Double sharps and flats are worst; then, if the notes are to be the key's ``own``,
    foreign ones; then foreign ones signed against a key of four sharps or flats and more.
    """
    found = []
    for choice in choices:
        try:
            spelled = notes(choice)
        except ValueError:  # more than a double sharp or flat
            continue
        foreign = [p for p in spelled if not belongs(key, (p,))]
        against = abs(key.fifths) > 3 and sum(alteration(p) * key.fifths < 0 for p in foreign)
        found.append(
            (
                (
                    sum(abs(alteration(p)) == 2 for p in spelled),
                    own and bool(foreign),
                    int(against),
                ),
                choice,
            )
        )
    return found


def best(ranked: Iterable[tuple[tuple, Choice]]) -> list[Choice]:
    """Those of the choices, each after its rank, whose rank is lowest."""
    ranked = list(ranked)
    lowest = min(rank for rank, _ in ranked)
    return [choice for rank, choice in ranked if rank == lowest]


def bars(count: int, measure: int = 1) -> dict[int, str]:
    """A bar line after every ``measure`` columns of ``count``, a final one at the end."""
    return {**dict.fromkeys(range(measure - 1, count - 1, measure), "|"), count - 1: "|."}


def signs_task(signature: str) -> str:
    """What the task says of accidentals, by whether the key signature is printed."""
    if signature == "printed":
        return "Add the accidentals that the key signature does not give."
    return "Give each note the sharp or flat it needs."
