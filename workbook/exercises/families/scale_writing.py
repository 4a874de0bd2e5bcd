"""Scale writing: one octave in whole notes, with accidentals or under a key signature.

The scale may begin on any degree; melodic minor is written going up.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request
from workbook.music import scales

_TASKS = {
    "accidentals": "Write the scale going up, in {0}. Give each note the sharp or flat it needs.",
    "printed": "Write the scale going up, in {0}. Add the accidentals that the key signature "
    "does not give.",
}


def make(request: Request, rng: Random) -> Exercise:
    key, settings = request.key, request.settings
    form = common.form(request)
    signature, start = settings.get("signature", "accidentals"), settings.get("start", 1)
    sides = common.place(
        request, lambda at: [(p,) for p in scales.from_degree(key, form, start, at)], rng
    )
    given = rng.sample(range(8), min(request.given, 7))
    staves = common.written(sides, {7: "|."}, given)
    return Exercise(
        "scale-writing",
        key,
        request.hand,
        _TASKS[signature].format(request.naming.whole_notes),
        common.label(request, common.start_words(start), by="clef", form=form),
        staves,
        common.note_blanks(staves, request.naming),
        signed=signature == "printed",
    )


FAMILY = Family(
    "scale-writing",
    "Scale writing",
    ("notes",),
    {
        "forms": ("major", *scales.MINOR_FORMS),
        "signature": ("accidentals", "printed"),
        "start": (1, 2, 3, 4, 5, 6, 7),
    },
    make,
    by="clef",
)
