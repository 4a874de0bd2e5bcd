"""Broken chords: the notes of a primary chord one after another, from any of its tones.

The hand keeps the shape of the chord, so each note has the finger that it has in the
block chord: by convention, or by search for V7, which has four notes.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import finger_blanks, give
from workbook.exercises.family import Family
from workbook.exercises.fingers import chord_fingers
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import printed_staves
from workbook.music.chords import POSITIONS, harmony, inversion

_NUMERALS = ("I", "IV", "V", "V7")
_PATTERNS = {
    "broken": {3: (0, 1, 2, 1) * 2 + (0,), 4: (0, 1, 2, 3, 2, 1) * 2 + (0,)},
    "alberti": {3: (0, 2, 1, 2) * 2 + (0,), 4: (0, 3, 1, 3, 2, 3) * 2 + (0,)},
}
_WORDS = {"broken": "broken chord", "alberti": "Alberti pattern"}


def _make(request: Request, rng: Random) -> Exercise:
    chord = harmony(request.key, request.settings["numeral"])
    tones = len(chord.tones(4))
    pattern = request.settings["pattern"]
    turn = rng.randrange(tones)
    order = _PATTERNS[pattern][tones]

    def block(at: int) -> Columns:
        return [inversion(chord.tones(at), turn)]

    blocks = fit_register(request, block, rng)
    sides: dict[str, Columns] = {
        side: [(held[note],) for note in order] for side, (held,) in blocks.items()
    }
    shape = POSITIONS[turn] if tones == 3 else None
    blanks: list[Blank] = []
    for side, columns in sides.items():
        (fingers,) = chord_fingers(request, side, blocks[side], [shape])
        blanks += finger_blanks(side, columns, [(fingers[note],) for note in order])
    half = len(order) // 2
    return Exercise(
        request.key,
        request.hand,
        wording.task([FINGER]),
        wording.label(request, f"{_WORDS[pattern]} {chord.numeral}"),
        printed_staves(sides, "4", {half - 1: "|", len(order) - 1: "|."}),
        give(blanks, request.given, rng),
    )


FAMILY = Family(
    name="broken-chord",
    title="Broken chords",
    kinds=(FINGER,),
    settings={
        "numeral": Setting(_NUMERALS, None, about="any of them if left out"),
        "pattern": Setting(tuple(_PATTERNS), "broken", skill=True),
    },
    maker=_make,
)
