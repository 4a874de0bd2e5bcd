"""Keyboard names: keys with a dot on a drawn keyboard, to be named as the musical key spells them.

The dots are a whole scale, some of its notes over two octaves, or a primary triad.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import keyboards, wording
from workbook.exercises.answers import NOTE
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import SCALE_FORM, Setting
from workbook.exercises.spellings import moved
from workbook.music.pitch import Pitch, semitone

_SOME = 5
SHAPES = ("scale", "notes", *keyboards.TRIADS)


def _make(request: Request, rng: Random) -> Exercise:
    shape = request.settings["shape"]
    scale = keyboards.scale(request)
    octave = keyboards.lowest_c(scale)
    if shape == "scale":
        marked, label = scale, wording.heading(request, keyboards.scale_words(request), by="")
    elif shape == "notes":
        marked = _some(scale, rng)
        label = wording.heading(request, f"notes of the {keyboards.scale_words(request)}", by="")
    else:
        marked = keyboards.triad(request, shape, rng.randrange(3))
        label = wording.label(request, shape, by="")
        octave = keyboards.lowest_c(marked)
    blanks = tuple(
        Blank("note", "right", column, None, (p,), request.naming.note(p))
        for column, p in enumerate(marked)
    )
    return Exercise(
        request.key,
        request.hand,
        "Name the notes that have a dot, spelled as in the key.",
        label,
        (),
        give(blanks, request.given, rng),
        figure=keyboards.two_octaves(octave, marked=marked),
    )


def _some(scale: tuple[Pitch, ...], rng: Random) -> tuple[Pitch, ...]:
    """Different notes of the scale, anywhere on two octaves from a C, from the left."""
    low = 12 * (semitone(scale[0]) // 12)
    first = [moved(p, -((semitone(p) - low) // 12)) for p in scale[:7]]
    return tuple(
        sorted((moved(p, rng.randrange(2)) for p in rng.sample(first, _SOME)), key=semitone)
    )


FAMILY = Family(
    name="keyboard-names",
    title="Names on the keyboard",
    kinds=(NOTE,),
    settings={
        "shape": Setting(SHAPES, "scale", skill=True, about="what is shown"),
        "forms": replace(SCALE_FORM, where={"shape": ("scale", "notes")}),
    },
    maker=_make,
    by="",
)
