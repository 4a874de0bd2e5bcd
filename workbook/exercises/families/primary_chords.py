"""Primary chords: the triads on degrees 1, 4 and 5 in root position, in any order."""

from __future__ import annotations

from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import CHORD, FINGER, NUMERAL
from workbook.exercises.blanks import chord_blanks, finger_blanks, give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import fit_register
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.chords import harmony

_ASKS = (CHORD, NUMERAL, FINGER)


def _make(request: Request, rng: Random) -> Exercise:
    chords = [harmony(request.key, n) for n in rng.sample(("I", "IV", "V"), 3)]
    sides = fit_register(request, lambda at: [chord.tones(at) for chord in chords], rng)
    blanks = [
        *chord_blanks(
            "chord",
            sides,
            [(c.symbol(request.naming.note), c.other_symbols(request.naming.note)) for c in chords],
        ),
        *chord_blanks(
            "numeral",
            sides,
            [(c.numeral, harmonies.other_numerals(c, request.naming)) for c in chords],
        ),
        *(
            b
            for side, columns in sides.items()
            for b in finger_blanks(side, columns, [request.fingering.chord("root", side)] * 3)
        ),
    ]
    return Exercise(
        request.key,
        request.hand,
        wording.task(_ASKS, request.ask, stacked=True),
        wording.label(request),
        printed_staves(sides, "1", bar_lines(3)),
        give(in_order(blanks, request.ask), request.given, rng),
    )


FAMILY = Family(
    name="primary-chords",
    title="Primary chords",
    kinds=_ASKS,
    settings={},
    maker=_make,
)
