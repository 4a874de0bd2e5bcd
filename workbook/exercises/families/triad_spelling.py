"""Triad spelling: from a chord name to the triad on the staff, in root position.

The chords are the triads of the key, in minor with the leading tone in the chords
on 5 and 7. With two staves each chord is written in both.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import clefs, common
from workbook.exercises.model import SIDES, Exercise, Family, Request
from workbook.music.chords import Harmony, qualities

_DEGREES = {"all": range(1, 8), "primary": (1, 4, 5)}
_MOST = 6
"""Chords on a line of music."""


def make(request: Request, rng: Random) -> Exercise:
    key, naming = request.key, request.naming
    signature = request.settings.get("signature", "accidentals")
    degrees = _DEGREES[request.settings.get("chords", "all")]
    count = min(_MOST, len(degrees))
    chords = [
        Harmony(key, degree, qualities(key.mode, degree, False)[0])
        for degree in rng.sample(degrees, count)
    ]
    sides = clefs.settle(
        request, {side: [chord.tones for chord in chords] for side in SIDES[request.hand]}, rng
    )
    staves = common.written(
        sides, clefs.bars(count), rng.sample(range(count), min(request.given, count - 1))
    )
    first, columns = next(iter(sides.items()))
    names = common.texts(
        "chord", first, [chord.symbol(naming.note) for chord in chords], columns, given=True
    )
    return Exercise(
        "triad-spelling",
        key,
        request.hand,
        f"Write each chord in root position. {clefs.signs_task(signature)}",
        common.label(request, by="clef"),
        staves,
        names + common.note_blanks(staves, naming),
        signed=signature == "printed",
    )


FAMILY = Family(
    "triad-spelling",
    "Triad spelling",
    ("notes",),
    {"chords": tuple(_DEGREES), "signature": clefs.SIGNATURES},
    make,
    by="clef",
)
