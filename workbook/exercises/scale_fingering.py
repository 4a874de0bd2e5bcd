"""Scale fingering: a scale up and down, a box for the finger at each note."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music import scales


def make(request: Request, rng: Random) -> Exercise:
    key, count = request.key, request.settings.get("octaves", 1)
    form = request.settings.get("forms", scales.forms(key)[0])
    if form not in scales.forms(key):
        form = scales.forms(key)[0]

    def music(at: int) -> common.Columns:
        run = scales.ascending(key, form, at, count) + scales.descending(key, form, at, count)[1:]
        return [(p,) for p in run]

    sides = common.place(request, music, rng)
    top = 7 * count
    bars = {top: "break" if count > 1 else "|", 2 * top: "|."}
    blanks = [blank for side, columns in sides.items()
              for blank in common.finger_blanks(
                  side, columns, ((f,) for f in request.fingering.scale(key, form, side, count)))]
    return Exercise(
        "scale-fingering", key, request.hand, common.task(("finger",)),
        common.label(request, "" if form == "major" else form,
                     "two octaves" if count == 2 else ""),
        common.staves(sides, "4", bars, request.ledger_lines),
        give(tuple(blanks), request.given, rng))


FAMILY = Family("scale-fingering", "Scale fingering", ("finger",),
                {"octaves": (1, 2), "forms": ("major", *scales.MINOR_FORMS)}, make)
