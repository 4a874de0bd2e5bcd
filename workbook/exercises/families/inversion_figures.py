"""Inversions and figures: close chords of the key, to be named, figured and numbered."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import CHORD, FIGURE, NUMERAL
from workbook.exercises.blanks import chord_blanks, give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import fit_each_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.chords import Harmony, harmony
from workbook.music.pitch import pitch

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
"""Printed figures, and longer and shorter ones to accept: common practice, no source."""


def chords(request: Request, rng: Random) -> list[Harmony]:
    """Six chords on different degrees, with every inversion at least once."""
    sevenths = request.settings["sevenths"]
    kinds = 4 if sevenths else 3
    inversions = [*range(kinds), *(rng.randrange(kinds) for _ in range(COUNT - kinds))]
    rng.shuffle(inversions)
    found = []
    for numeral, number in zip(rng.sample(_DEGREES, COUNT), inversions):
        chord = harmony(request.key, numeral.rstrip("°") + "7" * sevenths)
        found.append(replace(chord, inversion=number))
    return found


def _make(request: Request, rng: Random) -> Exercise:
    line = chords(request, rng)
    sides = fit_each_register(request, [partial(harmonies.block, chord) for chord in line], rng)
    note = request.naming.note
    blanks = [
        *chord_blanks(
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
        *chord_blanks("figure", sides, [_FIGURE_ALSO[c.figures] for c in line]),
        *chord_blanks(
            "numeral",
            sides,
            [(c.numeral, harmonies.other_numerals(c, request.naming)) for c in line],
        ),
    ]
    words = {
        "chord": f"chord names (such as {note(pitch('D4'))}m or {note(pitch('G4'))}7)",
        "figure": "figures (5/3, 6, 6/4)",
        "numeral": harmonies.FIGURED,
    }
    if request.settings["sevenths"]:
        words["figure"] = "figures (7, 6/5, 4/3, 4/2)"
    return Exercise(
        request.key,
        request.hand,
        f"Write the {wording.listed([words[asks] for asks in request.ask])}.",
        wording.label(request, by="clef"),
        printed_staves(sides, "1", bar_lines(COUNT)),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _others(main: str, others: tuple[str, ...], slash: str) -> tuple[str, ...]:
    return others if slash == main else (*others, slash)


FAMILY = Family(
    name="inversion-figures",
    title="Inversions and figures",
    kinds=(CHORD, FIGURE, NUMERAL),
    settings={
        "sevenths": Setting((False, True), False, skill=True, about="whether they occur"),
    },
    maker=_make,
    by="clef",
)
