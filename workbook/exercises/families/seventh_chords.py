"""Seventh chords of the key: their quality and position to name, or to be written."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import POSITIONS, Harmony, harmony

COUNT = 5
_DEGREES = ("I", "ii", "iii", "IV", "V", "vi", "vii")
_QUALITY = {
    "major seventh": ("maj7", ("M7", "major 7th", "MM7", "major seventh")),
    "dominant seventh": ("dom7", ("7", "Mm7", "dominant 7th", "dominant seventh")),
    "minor seventh": ("min7", ("m7", "mm7", "minor 7th", "minor seventh")),
    "half-diminished seventh": (
        "ø7",
        ("half-dim7", "m7♭5", "half-diminished 7th", "half-diminished seventh"),
    ),
    "diminished seventh": ("°7", ("dim7", "dd7", "diminished 7th", "diminished seventh")),
}
_POSITION = {
    "root": ("root position", "R", "7"),
    "1st": ("1st inversion", "first", "1", "6/5"),
    "2nd": ("2nd inversion", "second", "2", "4/3"),
    "3rd": ("3rd inversion", "third", "3", "4/2"),
}
"""Short answers and what else is accepted: common practice, no source."""


def chords(request: Request, rng: Random) -> list[Harmony]:
    """Five seventh chords on different degrees, V7 among them, every inversion if asked."""
    numerals = [*rng.sample([n for n in _DEGREES if n != "V"], COUNT - 1), "V"]
    rng.shuffle(numerals)
    numbers = [0] * COUNT
    if request.settings.get("inversions", True) and request.settings.get("task") != "write":
        numbers = [0, 1, 2, 3, rng.randrange(4)]
        rng.shuffle(numbers)
    return [
        replace(harmony(request.key, numeral + "7"), inversion=number)
        for numeral, number in zip(numerals, numbers)
    ]


def make(request: Request, rng: Random) -> Exercise:
    line = chords(request, rng)
    sides = common.place_each(
        request, [lambda at, chord=chord: [chord.close(at)] for chord in line], rng
    )
    bars = {**dict.fromkeys(range(COUNT - 1), "|"), COUNT - 1: "|."}
    label = common.label(request, by="clef")
    if request.settings.get("task") == "write":
        shown = rng.sample(range(COUNT), min(request.given, COUNT - 1))
        staves = common.written(sides, bars, shown)
        first = next(iter(sides))
        names = common.texts(
            "chord", first, [c.symbol(request.naming.note) for c in line], sides[first], given=True
        )
        return Exercise(
            "seventh-chords",
            request.key,
            request.hand,
            "Write each chord in root position, in "
            f"{request.naming.whole_notes}. Give each note the sharp or flat it "
            "needs.",
            label,
            staves,
            names + common.note_blanks(staves, request.naming),
            signed=False,
        )
    blanks = [
        *common.chord_blanks("quality", sides, [_QUALITY[c.quality] for c in line]),
        *common.chord_blanks(
            "position",
            sides,
            [(POSITIONS[c.inversion], _POSITION[POSITIONS[c.inversion]]) for c in line],
        ),
    ]
    words = {
        "quality": "quality (maj7, dom7, min7, ø7, °7)",
        "position": "position (root, 1st, 2nd, 3rd)",
    }
    # without inversions the position goes without saying, unless nothing else is asked
    asked = (
        tuple(
            kind
            for kind in request.ask
            if kind in words and (kind != "position" or request.settings.get("inversions", True))
        )
        or request.ask
    )
    return Exercise(
        "seventh-chords",
        request.key,
        request.hand,
        f"Write each chord’s {common.listed([words[kind] for kind in asked])}.",
        label,
        common.staves(sides, "1", bars),
        give(common.in_order(blanks, asked), request.given, rng),
    )


FAMILY = Family(
    "seventh-chords",
    "Seventh chords",
    ("quality", "position"),
    {"task": ("name", "write"), "inversions": (True, False)},
    make,
    by="clef",
)
