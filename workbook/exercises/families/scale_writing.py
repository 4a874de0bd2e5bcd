"""Scale writing: one octave in whole notes, with accidentals or under a key signature.

The scale may start on any degree; melodic minor is written going up.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import fit_register
from workbook.exercises.settings import SCALE_FORM, SIGNATURE, START_DEGREE
from workbook.exercises.staves import to_write, written_staves
from workbook.music import scales


def _make(request: Request, rng: Random) -> Exercise:
    key, settings = request.key, request.settings
    form, signature, start = (settings[name] for name in ("forms", "signature", "start"))
    sides = fit_register(
        request, lambda at: [(p,) for p in scales.from_degree(key, form, start, at)], rng
    )
    given = rng.sample(range(8), min(request.given, 7))
    staves = written_staves(sides, {7: "|."}, given)
    return Exercise(
        key,
        request.hand,
        f"Write the scale going up, one octave, in {request.naming.whole_notes}. "
        f"{wording.accidentals_task(signature, to_write(staves))}",
        wording.label(request, wording.from_degree(start), by="clef", form=form),
        staves,
        note_blanks(staves, request.naming),
        signed=signature == "printed",
    )


FAMILY = Family(
    name="scale-writing",
    title="Scale writing",
    kinds=(NOTES,),
    settings={"forms": SCALE_FORM, "signature": SIGNATURE, "start": START_DEGREE},
    maker=_make,
    by="clef",
)
