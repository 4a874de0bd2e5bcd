"""Scale writing: one octave in whole notes, with accidentals or under a key signature.

The scale may start on any degree, and go up, down, or up and down again. Melodic minor has its
natural form on the way down.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import SCALE_FORM, SIGNATURE, START_DEGREE, Setting
from workbook.exercises.staves import to_write, written_staves
from workbook.music import scales

_WAYS = {"up": "up", "down": "down", "both": "up and down again"}


def _make(request: Request, rng: Random) -> Exercise:
    key, settings = request.key, request.settings
    form, signature, start = (settings[name] for name in ("forms", "signature", "start"))
    way = settings["direction"]

    def music(at: int) -> Columns:
        up = scales.from_degree(key, form, start, at)
        down = scales.from_degree_down(key, form, start, at)
        return [(p,) for p in {"up": up, "down": down, "both": up + down[1:]}[way]]

    sides = fit_register(request, music, rng)
    count = 15 if way == "both" else 8
    given = rng.sample(range(count), min(request.given, count - 1))
    bars = {7: "break", 14: "|."} if way == "both" else {7: "|."}
    staves = written_staves(sides, bars, given)
    return Exercise(
        key,
        request.hand,
        f"Write the scale going {_WAYS[way]}, one octave, in {request.naming.whole_notes}. "
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
    settings={
        "forms": SCALE_FORM,
        "signature": SIGNATURE,
        "start": START_DEGREE,
        "direction": Setting(tuple(_WAYS), "up", skill=True, about="`both` is up and down again"),
    },
    maker=_make,
    by="clef",
)
