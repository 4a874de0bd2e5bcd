"""Primary chords: the triads on degrees 1, 4 and 5 in root position, in any order."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import harmony


def make(request: Request, rng: Random) -> Exercise:
    chords = [harmony(request.key, n) for n in rng.sample(("I", "IV", "V"), 3)]
    sides = common.place(request, lambda at: [chord.tones(at) for chord in chords], rng)
    blanks = [
        *common.chord_blanks(
            "chord",
            sides,
            [(c.symbol(request.naming.note), c.other_symbols(request.naming.note)) for c in chords],
        ),
        *common.chord_blanks("numeral", sides, [(c.numeral, ()) for c in chords]),
        *(
            b
            for side, columns in sides.items()
            for b in common.finger_blanks(
                side, columns, [request.fingering.chord("root", side)] * 3
            )
        ),
    ]
    return Exercise(
        "primary-chords",
        request.key,
        request.hand,
        common.task(request.ask, stacked=True),
        common.label(request),
        common.staves(sides, "1", {0: "|", 1: "|", 2: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng),
    )


FAMILY = Family("primary-chords", "Primary chords", ("chord", "numeral", "finger"), {}, make)
