"""Triad spelling: from a chord name to the triad on the staff, in root position.

The chords are the triads of the key; in minor those on 5 and 7 have the leading tone.
With two staves, each chord is written on both.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import CHORD, NOTES
from workbook.exercises.blanks import note_blanks, text_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Exercise, Request
from workbook.exercises.registers import fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.staves import bar_lines, to_write, written_staves
from workbook.music.chords import Harmony, qualities

_DEGREES = {"all": range(1, 8), "primary": (1, 4, 5)}
_MOST = 6
"""Chords on a line of music."""


def _make(request: Request, rng: Random) -> Exercise:
    key, naming = request.key, request.naming
    signature = request.settings["signature"]
    degrees = _DEGREES[request.settings["chords"]]
    count = min(_MOST, len(degrees))
    chords = [
        Harmony(key, degree, qualities(key.mode, degree, False)[0])
        for degree in rng.sample(degrees, count)
    ]
    sides = fit_columns(
        request, {side: [chord.tones for chord in chords] for side in SIDES[request.hand]}, rng
    )
    staves = written_staves(
        sides, bar_lines(count), rng.sample(range(count), min(request.given, count - 1))
    )
    first, columns = next(iter(sides.items()))
    names = text_blanks(
        "chord", first, [chord.symbol(naming.note) for chord in chords], columns, given=True
    )
    return Exercise(
        key,
        request.hand,
        "Write each chord in root position. "
        + wording.accidentals_task(signature, to_write(staves)),
        wording.label(request, by="clef"),
        staves,
        names + note_blanks(staves, naming),
        signed=signature == "printed",
    )


FAMILY = Family(
    name="triad-spelling",
    title="Triad spelling",
    kinds=(NOTES,),
    settings={
        "chords": Setting(tuple(_DEGREES), "all"),
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
    others=(CHORD,),
    apart=True,
)
