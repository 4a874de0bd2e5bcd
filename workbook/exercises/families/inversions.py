"""Inversions: the tonic triad climbing root, 1st, 2nd, root and back, or in mixed order."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER, POSITION
from workbook.exercises.blanks import chord_blanks, finger_blanks, give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.positions import other_names
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.chords import harmony, inversion, position

_ASKS = (POSITION, FINGER)
_CLIMBING = (0, 1, 2, 3, 2, 1, 0)
"""The order of the chords: how often the triad in root position is inverted."""


def _mixed(rng: Random) -> tuple[int, ...]:
    """As many chords, with each position twice or more and none twice running."""
    while True:
        order = tuple(rng.choices(range(4), k=len(_CLIMBING)))
        positions = [turns % 3 for turns in order]
        if (
            all(positions.count(position) >= 2 for position in range(3))
            and positions != [turns % 3 for turns in _CLIMBING]
            and all(one != after for one, after in pairwise(positions))
        ):
            return order


def _make(request: Request, rng: Random) -> Exercise:
    tonic = harmony(request.key, "I")
    order = _mixed(rng) if request.settings["order"] == "mixed" else _CLIMBING

    def music(at: int) -> Columns:
        up = [inversion(tonic.tones(at), turn) for turn in range(3)] + [tonic.tones(at + 1)]
        return [up[turns] for turns in order]

    sides = fit_register(request, music, rng)
    first = next(iter(sides.values()))
    positions = [position(chord, tonic.root(4)) for chord in first]
    blanks = [
        *chord_blanks("position", sides, [(p, other_names(p)) for p in positions]),
        *(
            b
            for side, columns in sides.items()
            for b in finger_blanks(
                side, columns, [request.fingering.chord(p, side) for p in positions]
            )
        ),
    ]
    return Exercise(
        request.key,
        request.hand,
        wording.task(_ASKS, request.ask, stacked=True),
        wording.label(request),
        printed_staves(sides, "1", bar_lines(7), climbing=True),
        give(in_order(blanks, request.ask), request.given, rng),
    )


FAMILY = Family(
    name="inversions",
    title="Tonic triad inversions",
    kinds=_ASKS,
    settings={
        "order": Setting(
            ("climbing", "mixed"),
            "climbing",
            skill=True,
            about="`climbing` is root, 1st, 2nd, root and back",
        ),
    },
    maker=_make,
)
