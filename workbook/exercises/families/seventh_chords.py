"""Seventh chords of the key: quality and position to be named, or the chords to be written."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import CHORD, NOTES, POSITION, QUALITY
from workbook.exercises.blanks import chord_blanks, give, in_order, note_blanks, text_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.positions import other_names
from workbook.exercises.registers import fit_each_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves, to_write, written_staves
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
"""Short answers and what else is accepted: common practice, no source."""


def chords(request: Request, rng: Random) -> list[Harmony]:
    """Five seventh chords on different degrees, with V7 and, if asked for, every inversion."""
    numerals = [*rng.sample([n for n in _DEGREES if n != "V"], COUNT - 1), "V"]
    rng.shuffle(numerals)
    numbers = [0] * COUNT
    if request.settings["task"] == "name" and request.settings["inversions"]:
        numbers = [0, 1, 2, 3, rng.randrange(4)]
        rng.shuffle(numbers)
    return [
        replace(harmony(request.key, numeral + "7"), inversion=number)
        for numeral, number in zip(numerals, numbers)
    ]


def _make(request: Request, rng: Random) -> Exercise:
    line = chords(request, rng)
    sides = fit_each_register(request, [partial(harmonies.block, chord) for chord in line], rng)
    bars = bar_lines(COUNT)
    label = wording.label(request, by="clef")
    if request.settings["task"] == "write":
        shown = rng.sample(range(COUNT), min(request.given, COUNT - 1))
        staves = written_staves(sides, bars, shown)
        first = next(iter(sides))
        names = text_blanks(
            "chord", first, [c.symbol(request.naming.note) for c in line], sides[first], given=True
        )
        return Exercise(
            request.key,
            request.hand,
            "Write each chord in root position, in "
            f"{request.naming.whole_notes}. "
            f"{wording.accidentals_task('accidentals', to_write(staves))}",
            label,
            staves,
            names + note_blanks(staves, request.naming),
            signed=False,
        )
    blanks = [
        *chord_blanks("quality", sides, [_QUALITY[c.quality] for c in line]),
        *chord_blanks(
            "position",
            sides,
            [(p, other_names(p, seventh=True)) for p in (POSITIONS[c.inversion] for c in line)],
        ),
    ]
    words = {
        "quality": "quality (maj7, dom7, min7, ø7, °7)",
        "position": "position (root, 1st, 2nd, 3rd)",
    }
    # without inversions the position is clear, and asked only if nothing else is
    asked = (
        tuple(
            kind
            for kind in request.ask
            if kind in words and (kind != "position" or request.settings["inversions"])
        )
        or request.ask
    )
    return Exercise(
        request.key,
        request.hand,
        f"Write each chord’s {wording.listed([words[kind] for kind in asked])}.",
        label,
        printed_staves(sides, "1", bars),
        give(in_order(blanks, asked), request.given, rng),
    )


FAMILY = Family(
    name="seventh-chords",
    title="Seventh chords",
    kinds=(QUALITY, POSITION),
    settings={
        "task": Setting(("name", "write"), "name", skill=True, about="of a chord"),
        "inversions": Setting(
            (True, False),
            True,
            skill=True,
            about="whether they occur",
            where={"task": ("name",)},
        ),
    },
    maker=_make,
    by="clef",
    others=(CHORD, NOTES),
    apart=True,
)
