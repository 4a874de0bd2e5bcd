"""Sequences: a motif and the beginning of its sequence, to be continued in the key."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, written_staves
from workbook.music.sequences import MOVES, notes, sequence

_LINE = 12
"""The most notes on one line of music."""


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    count, links, begun = (settings[name] for name in ("notes", "links", "begun"))
    whole = 2 if begun == "measure" else 1
    degrees = sequence(request.key, count, MOVES[settings["sequence"]], whole + links, rng)

    def music(at: int) -> Columns:
        return [(notes(request.key, at)[degree],) for degree in degrees]

    sides = fit_register(replace(request, ledger_lines=0), music, rng)  # on the staff
    printed = count * whole + (begun == "note")
    given = min(request.given, len(degrees) - printed - 1)
    bars = bar_lines(len(degrees), count)
    if len(degrees) > _LINE:
        bars[2 * count - 1] = "break"
    staves = written_staves(sides, bars, range(printed + given))
    return Exercise(
        request.key,
        request.hand,
        _task(request),
        wording.label(request, by="clef"),
        staves,
        note_blanks(staves, request.naming),
    )


def _task(request: Request) -> str:
    links, measure = request.settings["links"], request.naming.measure
    more = f"one more {measure}" if links == 1 else f"two more {measure}s"
    if request.settings["begun"] == "measure":
        return f"Continue the sequence for {more}, without accidentals."
    rest = "" if links == 1 else f" and write one more {measure}"
    return f"Complete the second {measure} of the sequence{rest}, without accidentals."


FAMILY = Family(
    name="sequences",
    title="Sequences",
    kinds=(NOTES,),
    settings={
        "sequence": Setting(
            tuple(MOVES), "step down", skill=True, about="how far the motif moves each time"
        ),
        "notes": Setting((3, 4, 5), 4, about="notes in the motif"),
        "begun": Setting(
            ("measure", "note"),
            "measure",
            skill=True,
            about="what is printed after the motif: its sequence once, or the first note of it",
        ),
        "links": Setting((1, 2), 1, about="measures to be written"),
    },
    studied=False,
    maker=_make,
    by="clef",
    about="In minor, the sequence keeps to the natural scale.",
)
