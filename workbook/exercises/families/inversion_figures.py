"""Inversions and figures: chords of the key in close position, to be named, figured, numbered."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import common, harmonies
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import Harmony, harmony

COUNT = 6
_DEGREES = ("I", "ii", "iii", "IV", "V", "vi", "vii°")
_FIGURE_ALSO = {
    "": ("5/3", ("53", "5", "3")),
    "6": ("6", ("6/3", "63")),
    "6/4": ("6/4", ("64",)),
    "7": ("7", ("7/5/3",)),
    "6/5": ("6/5", ("65", "6/5/3")),
    "4/3": ("4/3", ("43", "6/4/3")),
    "4/2": ("4/2", ("42", "2", "6/4/2")),
}
"""Printed figures and their longer and shorter forms: common practice, no source."""


def chords(request: Request, rng: Random) -> list[Harmony]:
    """Six chords on different degrees, every inversion at least once."""
    sevenths = request.settings.get("sevenths", False)
    kinds = 4 if sevenths else 3
    inversions = [*range(kinds), *(rng.randrange(kinds) for _ in range(COUNT - kinds))]
    rng.shuffle(inversions)
    found = []
    for numeral, number in zip(rng.sample(_DEGREES, COUNT), inversions):
        chord = harmony(request.key, numeral.rstrip("°") + "7" * sevenths)
        found.append(replace(chord, inversion=number))
    return found


def make(request: Request, rng: Random) -> Exercise:
    line = chords(request, rng)
    sides = common.place_each(
        request, [lambda at, chord=chord: [chord.close(at)] for chord in line], rng
    )
    note = request.naming.note
    blanks = [
        *common.chord_blanks(
            "chord",
            sides,
            [
                (
                    c.symbol(note),
                    _others(c.symbol(note), c.other_symbols(note), c.symbol(note, bass=True)),
                )
                for c in line
            ],
        ),
        *common.chord_blanks("figure", sides, [_FIGURE_ALSO[c.figures] for c in line]),
        *common.chord_blanks("numeral", sides, [(c.numeral, c.other_numerals) for c in line]),
    ]
    words = {
        "chord": "chord names (such as Dm or G7)",
        "figure": "figures (5/3, 6, 6/4)",
        "numeral": harmonies.FIGURED,
    }
    if request.settings.get("sevenths"):
        words["figure"] = "figures (7, 6/5, 4/3, 4/2)"
    return Exercise(
        "inversion-figures",
        request.key,
        request.hand,
        f"Write the {common.listed([words[asks] for asks in request.ask])}.",
        common.label(request, by="clef"),
        common.staves(sides, "1", {**dict.fromkeys(range(COUNT - 1), "|"), COUNT - 1: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng),
    )


def _others(main: str, others: tuple[str, ...], slash: str) -> tuple[str, ...]:
    return others if slash == main else (*others, slash)


FAMILY = Family(
    "inversion-figures",
    "Inversions and figures",
    ("chord", "figure", "numeral"),
    {"sevenths": (False, True)},
    make,
    by="clef",
)
