"""Keyboard shading: a scale of one octave or a primary triad, shaded on a drawn keyboard.

The keyboard begins at the C below, and the place farthest left is wanted, so that
there is one answer.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common, keyboards
from workbook.exercises.model import Blank, Exercise, Family, Request

_POSITIONS = {"root": "root position", "1st": "1st inversion", "2nd": "2nd inversion"}


def make(request: Request, rng: Random) -> Exercise:
    shape = request.settings.get("shape", "scale")
    if shape == "scale":
        notes = keyboards.scale(request)
        label = common.heading(request, keyboards.scale_words(request), "one octave up", by="")
    else:
        position = request.settings.get("position", "root")
        notes = keyboards.triad(request, shape, list(_POSITIONS).index(position))
        label = common.label(request, shape, _POSITIONS[position], by="")
    blank = Blank("keys", "right", 0, None, notes, " ".join(map(request.naming.note, notes)))
    return Exercise(
        "keyboard-shading",
        request.key,
        request.hand,
        "Shade the keys of these notes, starting from the lowest possible key.",
        label,
        (),
        (blank,),
        figure=keyboards.two_octaves(keyboards.lowest_c(notes), shaded=notes),
    )


FAMILY = Family(
    "keyboard-shading",
    "Shading on the keyboard",
    ("keys",),
    {
        "shape": ("scale", *keyboards.TRIADS),
        "position": tuple(_POSITIONS),
        "forms": ("major", "natural", "harmonic", "melodic"),
    },
    make,
    by="",
)
