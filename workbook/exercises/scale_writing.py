"""Scale writing: one octave in whole notes, with accidentals or under a key signature.

The scale may begin on any degree; melodic minor is written going up.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request
from workbook.music import scales
from workbook.music.pitch import Pitch

_TASKS = {
    "accidentals": "Write the scale going up, in whole notes. Give each note the sharp or flat "
                   "it needs.",
    "printed": "Write the scale going up, in whole notes. Add the accidentals that the key "
               "signature does not give."}


def notes(request: Request, form: str, start: int, at: int) -> tuple[Pitch, ...]:
    """Eight notes up from degree ``start``, of the scale whose tonic is in octave ``at``."""
    two = scales.ascending(request.key, form, at, 2)
    return two[start - 1:start + 7]


def make(request: Request, rng: Random) -> Exercise:
    key, settings = request.key, request.settings
    form = settings.get("forms", "harmonic" if key.minor else "major")
    if form not in scales.forms(key):
        form = scales.forms(key)[0]
    signature, start = settings.get("signature", "accidentals"), settings.get("start", 1)
    sides = common.place(
        request, lambda at: [(p,) for p in notes(request, form, start, at)], rng)
    given = rng.sample(range(8), min(request.given, 7))
    staves = common.written(sides, {7: "|."}, given)
    degree = {2: "2nd", 3: "3rd"}.get(start, f"{start}th")
    return Exercise(
        "scale-writing", key, request.hand, _TASKS[signature],
        common.label(request, "" if form == "major" else form,
                     f"from the {degree} degree" if start > 1 else "", by="clef"),
        staves, common.note_blanks(staves, request.naming), signed=signature == "printed")


FAMILY = Family("scale-writing", "Scale writing", ("notes",),
                {"forms": ("major", *scales.MINOR_FORMS), "signature": ("accidentals", "printed"),
                 "start": (1, 2, 3, 4, 5, 6, 7)}, make, by="clef")
