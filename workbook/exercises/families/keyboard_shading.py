"""Keyboard shading: a scale or its first notes, or a primary triad, on a drawn keyboard.

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

_COUNTS = {3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: ""}
"""Notes of a scale, in words; eight are all of it."""
_ALIKE = 5
"""The most notes for which the minor forms are the same."""
_POSITIONS = {"root": "root position", "1st": "1st inversion", "2nd": "2nd inversion"}


def _make(request: Request, _rng: Random) -> Exercise:
    shape = request.settings["shape"]
    if shape == "scale":
        count = request.settings["notes"]
        notes = keyboards.scale(request)[:count]
        label = wording.heading(
            request,
            f"{request.naming.key(request.key)} scale"
            if count <= _ALIKE
            else keyboards.scale_words(request),
            f"first {_COUNTS[count]} notes" if _COUNTS[count] else "one octave up",
            by="",
        )
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
        "notes": Setting(
            tuple(_COUNTS),
            8,
            about="how many notes of a scale",
            where={"shape": ("scale",)},
        ),
        "forms": replace(
            SCALE_FORM,
            where={"shape": ("scale",), "notes": tuple(n for n in _COUNTS if n > _ALIKE)},
        ),
    },
    maker=_make,
    by="",
)
