"""Progression: I–IV–I–V7–I or I–V7–I in close position, found by voice leading."""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Exercise, Family, Request, give
from workbook.music.chords import Harmony, position
from workbook.music.pitch import Pitch
from workbook.music.progressions import FULL, SHORT, progression

_NUMERALS = {"full": FULL, "short": SHORT}


def shape(chord: Harmony, voicing: tuple[Pitch, ...]) -> str:
    """The shape of the hand that the fingering table names."""
    if chord.numeral == "V7":
        return "v7-third"
    return position(voicing, chord.root(4))


def make(request: Request, rng: Random) -> Exercise:
    numerals = _NUMERALS[request.settings.get("numerals", "full")]
    steps = progression(request.key, numerals, 4)
    chords = [chord for chord, _ in steps]

    def music(at: int) -> common.Columns:
        return [voicing for _, voicing in progression(request.key, numerals, at)]

    sides = common.place(request, music, rng)
    shapes = [shape(chord, voicing) for chord, voicing in steps]
    last = len(chords) - 1
    blanks = [
        *common.chord_blanks("numeral", sides, [(c.numeral, ()) for c in chords]),
        *common.chord_blanks("chord", sides, [(c.name, c.other_names) for c in chords]),
        *(b for side, columns in sides.items() for b in common.finger_blanks(
            side, columns, common.chord_fingers(request, side, columns, shapes)))]
    return Exercise(
        "progression", request.key, request.hand, common.task(request.ask, stacked=True),
        common.label(request),
        common.staves(sides, "1", {**{i: "|" for i in range(last)}, last: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng))


FAMILY = Family("progression", "Chord progression", ("chord", "numeral", "finger"),
                {"numerals": ("full", "short")}, make)
