"""Modes: one octave of a church mode in whole notes, with accidentals and without signature.

A mode has the notes of its key, from another degree; so none needs a double sharp or flat.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import to_write, written_staves
from workbook.music import scales

_DEGREES = {"Dorian": 2, "Phrygian": 3, "Lydian": 4, "Mixolydian": 5, "Locrian": 7}
"""The degree of the major scale on which a mode begins; music21 has the same."""
_WAYS = ("up", "down")
_MINOR = 6
"""The degree of the major scale on which its relative minor begins."""


def _make(request: Request, rng: Random) -> Exercise:
    key, mode, way = request.key, request.settings["mode"], request.settings["direction"]
    form = "natural" if key.minor else "major"
    first = _MINOR if key.minor else 1
    start = (_DEGREES[mode] - first) % 7 + 1

    def music(at: int) -> Columns:
        up = scales.from_degree(key, form, start, at)
        return [(p,) for p in (up if way == "up" else up[::-1])]

    sides = fit_register(request, music, rng)
    staves = written_staves(sides, {7: "|."}, rng.sample(range(8), min(request.given, 7)))
    tonic = request.naming.note(scales.from_degree(key, form, start, 4)[0])
    return Exercise(
        key,
        request.hand,
        f"Write one octave of the mode in {request.naming.whole_notes}. "
        f"{wording.accidentals_task('accidentals', to_write(staves))}",
        wording.heading(request, f"{tonic} {mode}", f"going {way}", by="clef"),
        staves,
        note_blanks(staves, request.naming),
        signed=False,
    )


FAMILY = Family(
    name="modes",
    title="Modes",
    kinds=(NOTES,),
    settings={
        "mode": Setting(tuple(_DEGREES), None, about="any of them if left out"),
        "direction": Setting(_WAYS, "up", skill=True),
    },
    maker=_make,
    by="clef",
    about="A mode has the notes of the key: D Dorian in C major or A minor.",
)
