"""Arpeggio: a chord note by note over one or two octaves, up and down, a box at each note.

The tonic triad begins on its root, third or fifth; the dominant seventh and the
diminished seventh on the leading note begin on their roots.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.families.scale_fingering import OCTAVES
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.fingering.conventions import Fingers
from workbook.music.chords import TRIAD_POSITIONS, harmony, inversion
from workbook.music.pitch import Pitch, above
from workbook.music.qualities import QUALITIES
from workbook.music.scales import degree

TONIC, DOMINANT, DIMINISHED = CHORDS = ("tonic", "dominant seventh", "diminished seventh")
_POSITION_WORDS = {"root": "", "1st": "1st inversion", "2nd": "2nd inversion"}


def tones(request: Request, chord: str, position: str, at: int) -> tuple[Pitch, ...]:
    """The chord's tones low to high, from the first note of the arpeggio."""
    if chord == TONIC:
        return inversion(harmony(request.key, "I").tones(at), TRIAD_POSITIONS.index(position))
    if chord == DOMINANT:
        return harmony(request.key, "V7").tones(at)
    root = degree(request.key, 7, at)
    return tuple(above(root, step) for step in QUALITIES["diminished seventh"].tones)


def make(request: Request, rng: Random) -> Exercise:
    chord = request.settings.get("chord", TONIC)
    position = request.settings.get("position", "root") if chord == TONIC else "root"
    count = request.settings.get("octaves", 1)

    def music(at: int) -> common.Columns:
        once = tones(request, chord, position, at)
        again = (*once, *(above(p, "P8") for p in once)) if count == 2 else once
        up = (*again, above(again[-len(once)], "P8"))
        return [(p,) for p in up + up[-2::-1]]

    def fingers(side: str) -> Fingers:
        if chord == TONIC:
            return request.fingering.arpeggio(request.key, side, position, count)
        (root,) = sides[side][0]
        return request.fingering.seventh_arpeggio(root, chord.split()[0], side, count)

    sides = common.place(request, music, rng)
    top = len(next(iter(sides.values()))) // 2
    return Exercise(
        "arpeggio",
        request.key,
        request.hand,
        common.task(("finger",)),
        common.label(
            request, chord if chord != TONIC else "", _POSITION_WORDS[position], OCTAVES[count]
        ),
        common.staves(sides, "4", {top: "|", 2 * top: "|."}, request.ledger_lines),
        give(common.run_blanks(request, sides, fingers), request.given, rng),
    )


FAMILY = Family(
    "arpeggio",
    "Arpeggios",
    ("finger",),
    {"chord": CHORDS, "position": TRIAD_POSITIONS, "octaves": (1, 2)},
    make,
)
