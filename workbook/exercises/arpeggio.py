"""Arpeggio: the tonic triad over one octave, up and down, a box at each note."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import harmony
from workbook.music.pitch import above


def make(request: Request, rng: Random) -> Exercise:
    def music(at: int) -> common.Columns:
        triad = harmony(request.key, "I").tones(at)
        up = triad + (above(triad[0], "P8"),)
        return [(p,) for p in up + up[-2::-1]]

    sides = common.place(request, music, rng)
    blanks = [blank for side, columns in sides.items()
              for blank in common.finger_blanks(
                  side, columns, ((f,) for f in request.fingering.arpeggio(request.key, side)))]
    return Exercise(
        "arpeggio", request.key, request.hand, common.task(("finger",)),
        common.label(request), common.staves(sides, "4", {3: "|", 6: "|."}),
        give(tuple(blanks), request.given, rng))


FAMILY = Family("arpeggio", "Arpeggios", ("finger",), {}, make)
