"""Inversions: the tonic triad climbing root, 1st, 2nd, root, and back down."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import harmony, inversion, position

_ALSO = {"root": ("root position", "R"), "1st": ("1st inversion", "first", "1"),
         "2nd": ("2nd inversion", "second", "2")}


def make(request: Request, rng: Random) -> Exercise:
    tonic = harmony(request.key, "I")

    def music(at: int) -> common.Columns:
        up = [inversion(tonic.tones(at), turn) for turn in range(3)] + [tonic.tones(at + 1)]
        return up + up[-2::-1]

    sides = common.place(request, music, rng)
    first = next(iter(sides.values()))
    places = [position(chord, tonic.root(4)) for chord in first]
    blanks = [
        *common.chord_blanks("position", sides, [(p, _ALSO[p]) for p in places]),
        *(b for side, columns in sides.items() for b in common.finger_blanks(
            side, columns, [request.fingering.chord(p, side) for p in places]))]
    return Exercise(
        "inversions", request.key, request.hand, common.task(request.ask, stacked=True),
        common.label(request),
        common.staves(sides, "1", {**{i: "|" for i in range(6)}, 6: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng))


FAMILY = Family("inversions", "Tonic triad inversions", ("position", "finger"), {}, make)
