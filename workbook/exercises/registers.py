"""Registers: the octave in which music keeps near its staves.

In: music as a function of the octave. Out: the columns of each hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import product
from random import Random

from workbook.exercises.model import SIDES, Request
from workbook.music.pitch import Pitch, staff_degree
from workbook.music.register import ledger_lines, most_lines, octaves

Column = tuple[Pitch, ...]
"""Pitches low to high; none for an empty column."""
Columns = list[Column]
ColumnAt = Callable[[int], Column]
"""The notes of one column for an octave."""


def fit_register(
    request: Request, music: Callable[[int], Columns], rng: Random
) -> dict[str, Columns]:
    """The music of each hand in a register that keeps within the ledger lines.

    Hands together stand an octave apart, as they are played; further apart only where the
    staves leave no other way.
    """

    def flat(at: int) -> Iterable[Pitch]:
        return (p for column in music(at) for p in column)

    fits: dict[str, Sequence[int]] = {}
    for side in SIDES[request.hand]:
        fits[side] = octaves(side, flat, request.ledger_lines)
        if most_lines(flat(fits[side][0]), side) > request.ledger_lines:
            # too wide for its clef: beside the other hand, or where two clefs hold it best
            fits[side] = (
                [at - 1 for at in fits["right"]] if len(fits) > 1 else [_across(side, flat)]
            )
    if len(fits) == 1:
        return {side: music(rng.choice(list(own))) for side, own in fits.items()}
    pairs = [(right, left) for right in fits["right"] for left in fits["left"] if left < right]
    near = min((right - left for right, left in pairs), default=0)
    right, left = rng.choice(
        [pair for pair in pairs if pair[0] - pair[1] == near]
        or [(fits["right"][0], fits["left"][0])]
    )
    return {"right": music(right), "left": music(left)}


def _across(side: str, flat: Callable[[int], Iterable[Pitch]]) -> int:
    """The octave for music too wide for one clef.

    It is where both clefs together need the fewest ledger lines beyond two, and rather
    outside than inside the hand's own half of the keyboard.
    """

    def beyond(at: int) -> int:
        notes = sorted(flat(at), key=staff_degree)
        low, high = (
            max(ledger_lines(p, clef) - 2, 0)
            for p, clef in ((notes[0], "left"), (notes[-1], "right"))
        )
        return 2 * low + high if side == "right" else low + 2 * high

    order = range(6, -1, -1) if side == "right" else range(7)
    return min(order, key=beyond)


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

    On two staves the left column lies wholly below the right one where it can, with one
    ledger line at most, so that the staves keep clear of each other.
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
