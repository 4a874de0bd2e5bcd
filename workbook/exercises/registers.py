"""Registers: the octave in which music keeps near its staves and suits its hands.

In: music as a function of the octave. Out: the columns of each hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import product
from random import Random

from workbook.exercises.model import SIDES, Request
from workbook.music.pitch import Pitch, semitone, staff_degree
from workbook.music.register import LOWEST_CHORD, octaves, places

CHORD = 3
"""The fewest notes of a chord."""
Column = tuple[Pitch, ...]
"""Pitches low to high; none for an empty column."""
Columns = list[Column]
ColumnAt = Callable[[int], Column]
"""The notes of one column for an octave."""


def fit_register(
    request: Request, music: Callable[[int], Columns], rng: Random
) -> dict[str, Columns]:
    """The music of each hand where it lies well for the hand (``register.places``).

    Hands together stand an octave apart, as they are played.
    """
    at = rng.choice(places(request.hand, music, request.ledger_lines))
    if request.hand != "both":
        return {request.hand: music(at)}
    return {"right": music(at), "left": music(at - 1)}


def fit_each_register(
    request: Request, musics: Iterable[Callable[[int], Columns]], rng: Random
) -> dict[str, Columns]:
    """Pieces of music one after the other, each in a register of its own."""
    found: dict[str, Columns] = {side: [] for side in SIDES[request.hand]}
    for music in musics:
        for side, columns in fit_register(request, music, rng).items():
            found[side] += columns
    return found


def fit_columns(
    request: Request, music: dict[str, list[ColumnAt]], rng: Random
) -> dict[str, Columns]:
    """The columns of each side, each in an octave that keeps within the ledger lines.

    Chords stay above the lowest notes of the bass staff. On two staves the left column lies
    wholly below the right one, with one ledger line at most where that is enough, so that the
    staves keep clear of each other.
    """
    most = min(request.ledger_lines, 1) if len(music) > 1 else request.ledger_lines
    found: dict[str, Columns] = {side: [] for side in music}
    for columns in zip(*music.values()):
        for lines in (most, most + 1, most + 2):
            choices = list(
                product(*(_near(side, column, lines) for side, column in zip(music, columns)))
            )
            apart = [choice for choice in choices if _apart(choice)]
            if apart:
                break
        for side, notes in zip(music, rng.choice(apart or choices)):
            found[side].append(notes)
    return found


def _near(side: str, column: ColumnAt, most: int) -> list[Column]:
    """A column in the octaves that suit its staff."""
    found = [column(at) for at in octaves(side, column, most)]
    if len(found[0]) < CHORD:
        return found
    clear = [chord for chord in found if staff_degree(chord[0]) >= LOWEST_CHORD]
    return clear or [next(c for c in map(column, range(7)) if staff_degree(c[0]) >= LOWEST_CHORD)]


def _apart(choice: Sequence[Column]) -> bool:
    """Whether the left column, if there are two, lies below the right one, as written and
    as it sounds.
    """
    return len(choice) == 1 or all(
        max(map(height, choice[1])) < min(map(height, choice[0]))
        for height in (staff_degree, semitone)
    )
