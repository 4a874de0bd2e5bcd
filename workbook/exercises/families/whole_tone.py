"""Whole-tone scale: one octave in whole notes from any note, without key signature.

Every spelling is accepted that goes from letter to letter, leaves one out and needs no double
sharp or flat; it holds for the whole scale (``scales.whole_tone``).
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

_COUNT = 7


def _make(request: Request, rng: Random) -> Exercise:
    way, note = request.settings["direction"], request.naming.note
    turn = -1 if way == "down" else 1

    def music(at: int) -> Columns:
        return [(p,) for p in scales.whole_tone(request.key.tonic_in(at), turn)[0][::turn]]

    sides = fit_register(request, music, rng)
    given = rng.sample(range(_COUNT), min(request.given, _COUNT - 1))
    staves = written_staves(sides, {_COUNT - 1: "|."}, given)
    start = request.key.tonic_in(4)
    first, *others = ([note(p) for p in one[::turn]] for one in scales.whole_tone(start, turn))
    spelled = [first, *(one for one in others if all(one[n] == first[n] for n in given))]
    blanks = tuple(
        blank._replace(
            also=tuple(dict.fromkeys(one[blank.column] for one in spelled))[1:],
            versions=tuple(one[blank.column] for one in spelled),
        )
        for blank in note_blanks(staves, request.naming)
    )
    return Exercise(
        request.key,
        request.hand,
        f"Write the scale, one octave, in {request.naming.whole_notes}. "
        f"{wording.accidentals_task('accidentals', to_write(staves))}",
        wording.heading(
            request, f"whole-tone scale starting on {note(start)}", f"going {way}", by="clef"
        ),
        staves,
        blanks,
        signed=False,
    )


FAMILY = Family(
    name="whole-tone",
    title="Whole-tone scale",
    kinds=(NOTES,),
    settings={"direction": Setting(("up", "down"), "up", skill=True)},
    studied=False,
    maker=_make,
    by="clef",
    about="It starts on the tonic of the key; every spelling without double sharps and flats "
    "is accepted.",
)
