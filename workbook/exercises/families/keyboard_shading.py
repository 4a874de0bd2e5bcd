"""Keyboard shading: a scale of one octave or a primary triad, shaded on a drawn keyboard.

The keyboard starts at the C below, and the lowest possible keys are wanted, so there is
only one answer.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import keyboards, wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import SCALE_FORM, Setting

_POSITIONS = {"root": "root position", "1st": "1st inversion", "2nd": "2nd inversion"}


def _make(request: Request, _rng: Random) -> Exercise:
    shape = request.settings["shape"]
    if shape == "scale":
        notes = keyboards.scale(request)
        label = wording.heading(request, keyboards.scale_words(request), "one octave up", by="")
    else:
        position = request.settings["position"]
        notes = keyboards.triad(request, shape, list(_POSITIONS).index(position))
        label = wording.label(request, shape, _POSITIONS[position], by="")
    blank = Blank("keys", "right", 0, None, notes, " ".join(map(request.naming.note, notes)))
    return Exercise(
        request.key,
        request.hand,
        "Shade the keys of these notes, starting from the lowest possible key.",
        label,
        (),
        (blank,),
        figure=keyboards.two_octaves(keyboards.lowest_c(notes), shaded=notes),
    )


KEYS = AnswerKind("keys", "keys to be shaded", None, words="notes")
FAMILY = Family(
    name="keyboard-shading",
    title="Shading on the keyboard",
    kinds=(KEYS,),
    settings={
        "shape": Setting(("scale", *keyboards.TRIADS), "scale", skill=True, about="what is shaded"),
        "position": Setting(
            tuple(_POSITIONS),
            "root",
            skill=True,
            about="of a triad",
            where={"shape": tuple(keyboards.TRIADS)},
        ),
        "forms": replace(SCALE_FORM, where={"shape": ("scale",)}),
    },
    maker=_make,
    by="",
)
