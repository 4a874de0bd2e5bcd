"""Chromatic scale: up and down from the tonic, a box for the finger at each note.

There is no key signature: the scale has a first note, and no key.

Two octaves for hands together go up only: both ways are too tall for a page.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.fingers import run_blanks
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import printed_staves, run_bar_lines
from workbook.music.scales import chromatic


def _make(request: Request, rng: Random) -> Exercise:
    count = request.settings["octaves"]
    up_only = request.hand == "both" and count == 2
    columns = 25 if up_only else 24 * count + 1

    def music(at: int) -> Columns:
        return [(p,) for p in chromatic(request.key.tonic_in(at), count)[:columns]]

    sides = fit_register(request, music, rng)
    start = request.key.tonic_in(4)
    blanks = run_blanks(
        request, sides, lambda side: request.fingering.chromatic(start, side, count)
    )
    return Exercise(
        request.key,
        request.hand,
        wording.task([FINGER]),
        wording.heading(
            request,
            f"chromatic scale starting on {request.naming.note(start)}",
            wording.OCTAVES[count],
            "going up" if up_only else "",
        ),
        printed_staves(sides, "4", run_bar_lines(columns, 13), octave=True),
        give(blanks, request.given, rng),
        signed=False,
    )


FAMILY = Family(
    name="chromatic-scale",
    title="Chromatic scale",
    kinds=(FINGER,),
    settings={
        "octaves": Setting((1, 2), 1, skill=True, about="hands together, two go up only"),
    },
    maker=_make,
)
