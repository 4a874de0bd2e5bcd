"""Inversions: the tonic triad climbing root, 1st, 2nd, root, and back down; or in mixed order."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import harmony, inversion, position

_ALSO = {
    "root": ("root position", "R"),
    "1st": ("1st inversion", "first", "1"),
    "2nd": ("2nd inversion", "second", "2"),
}


_CLIMBING = (0, 1, 2, 3, 2, 1, 0)
"""The chords in their order, by how often the triad in root position is turned over."""


def _mixed(rng: Random) -> tuple[int, ...]:
    """As many chords, each position twice or more and none twice running."""
    while True:
        order = tuple(rng.choices(range(4), k=len(_CLIMBING)))
        places = [turns % 3 for turns in order]
        if (
            all(places.count(place) >= 2 for place in range(3))
            and places != [turns % 3 for turns in _CLIMBING]
            and all(one != after for one, after in zip(places, places[1:]))
        ):
            return order


def make(request: Request, rng: Random) -> Exercise:
    tonic = harmony(request.key, "I")
    mixed = request.settings.get("order") == "mixed"
    order = _mixed(rng) if mixed else _CLIMBING

    def music(at: int) -> common.Columns:
        up = [inversion(tonic.tones(at), turn) for turn in range(3)] + [tonic.tones(at + 1)]
        return [up[turns] for turns in order]

    sides = common.place(request, music, rng)
    first = next(iter(sides.values()))
    places = [position(chord, tonic.root(4)) for chord in first]
    blanks = [
        *common.chord_blanks("position", sides, [(p, _ALSO[p]) for p in places]),
        *(
            b
            for side, columns in sides.items()
            for b in common.finger_blanks(
                side, columns, [request.fingering.chord(p, side) for p in places]
            )
        ),
    ]
    return Exercise(
        "inversions",
        request.key,
        request.hand,
        common.task(request.ask, stacked=True),
        common.label(request),
        common.staves(sides, "1", {**dict.fromkeys(range(6), "|"), 6: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng),
    )


FAMILY = Family(
    "inversions",
    "Tonic triad inversions",
    ("position", "finger"),
    {"order": ("climbing", "mixed")},
    make,
)
