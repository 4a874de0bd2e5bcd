"""Broken chord: a primary chord from any of its tones, its notes one after another.

The hand keeps the chord's shape, so each note has the finger that it has in the
block chord: by convention, or by search for V7, which has four notes.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import POSITIONS, harmony, inversion

_NUMERALS = ("I", "IV", "V", "V7")
_PATTERNS = {
    "broken": {3: (0, 1, 2, 1) * 2 + (0,), 4: (0, 1, 2, 3, 2, 1) * 2 + (0,)},
    "alberti": {3: (0, 2, 1, 2) * 2 + (0,), 4: (0, 3, 1, 3, 2, 3) * 2 + (0,)},
}
_WORDS = {"broken": "broken chord", "alberti": "Alberti pattern"}


def make(request: Request, rng: Random) -> Exercise:
    chord = harmony(request.key, request.settings.get("numeral") or rng.choice(_NUMERALS))
    tones = len(chord.tones(4))
    pattern = request.settings.get("pattern", "broken")
    turn = rng.randrange(tones)
    order = _PATTERNS[pattern][tones]

    def block(at: int) -> common.Columns:
        return [inversion(chord.tones(at), turn)]

    blocks = common.place(request, block, rng)
    sides = {side: [(held[note],) for note in order] for side, (held,) in blocks.items()}
    shape = POSITIONS[turn] if tones == 3 else None
    blanks = []
    for side, columns in sides.items():
        (fingers,) = common.chord_fingers(request, side, blocks[side], [shape])
        blanks += common.finger_blanks(side, columns, [(fingers[note],) for note in order])
    half = len(order) // 2
    return Exercise(
        "broken-chord",
        request.key,
        request.hand,
        common.task(("finger",)),
        common.label(request, f"{_WORDS[pattern]} {chord.numeral}"),
        common.staves(sides, "4", {half - 1: "|", len(order) - 1: "|."}),
        give(tuple(blanks), request.given, rng),
    )


FAMILY = Family(
    "broken-chord",
    "Broken chords",
    ("finger",),
    {"numeral": _NUMERALS, "pattern": tuple(_PATTERNS)},
    make,
)
