"""Interval building: write the note that lies a given interval above or below a printed one.

The interval has number and quality, or its number alone; then the note is one of the key, in
minor of the natural form. It stands next to the printed note (melodic) or over or under it
(harmonic). The printed notes belong to the key, and so do the written ones where the interval
lets them. With two staves, each has intervals of its own.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import dyads, wording
from workbook.exercises.answers import INTERVAL, NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.dyads import COMPOUND, QUALITIES, SIZE, Dyad
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.staves import bar_lines, to_write, written_staves
from workbook.music.pitch import Pitch
from workbook.music.register import CLEFS

COUNT = 4
_OVER = {"above": "Over", "below": "Under"}
_PARTS = {"above": slice(1, 2), "below": slice(0, 1)}
"""Which note of a harmonic interval is written, low to high."""


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    signature, direction = settings["signature"], settings["direction"]
    below, melodic = direction == "below", settings["notes"] == "melodic"
    chosen = {side: _chosen(request, below, rng) for side in SIDES[request.hand]}
    sides = fit_columns(
        request, {side: [dyad.notes for dyad in row] for side, row in chosen.items()}, rng
    )
    given = rng.sample(range(COUNT), min(request.given, COUNT - 1))
    if melodic:
        staves = tuple(_staff(side, columns, below, given) for side, columns in sides.items())
    else:
        staves = written_staves(sides, bar_lines(COUNT), given, _PARTS[direction])
    labels = [
        Blank("interval", side, 2 * index + 1 if melodic else index, None, notes, text, given=True)
        for side, row in chosen.items()
        for index, (text, notes) in enumerate(zip(_texts(row, settings["label"]), sides[side]))
    ]
    named = signature == "printed" or settings["label"] == "number"
    compound = "compound " * (settings["size"] == COMPOUND)
    return Exercise(
        request.key,
        request.hand,
        _task(request, to_write(staves)),
        (wording.label if named else wording.heading)(
            request, f"{compound}intervals {direction}", by="clef"
        ),
        staves,
        (*labels, *note_blanks(staves, request.naming)),
        signed=signature == "printed",
    )


def _chosen(request: Request, below: bool, rng: Random) -> list[Dyad]:
    key, settings = request.key, request.settings
    if settings["label"] == "number":
        return dyads.diatonic(key, COUNT, below, settings["size"], rng)
    return dyads.dyads(key, COUNT, settings["qualities"], below, rng, size=settings["size"])


def _texts(row: list[Dyad], label: str) -> list[str]:
    """What is printed over the intervals: ``"m6"``, or ``"6"``."""
    return [dyad.interval.lstrip("PMmAd") if label == "number" else dyad.interval for dyad in row]


def _task(request: Request, notes: tuple[Pitch, ...]) -> str:
    settings = request.settings
    direction, by_number = settings["direction"], settings["label"] == "number"
    where = "Next to" if settings["notes"] == "melodic" else _OVER[direction]
    note = "note of the key" if by_number else "note"
    task = f"{where} each note, write the {note} that lies the given interval {direction} it."
    if by_number and settings["signature"] == "printed":
        return task
    return f"{task} {wording.accidentals_task(settings['signature'], notes)}"


def _staff(side: str, columns: Columns, below: bool, given: list[int]) -> Staff:
    """The printed note and the written one next to it, two to a measure."""
    events = []
    for measure, notes in enumerate(columns):
        base, other = notes[::-1] if below else notes
        events += [
            Event((base,), CLEFS[side], "1"),
            Event(
                (other,),
                CLEFS[side],
                "1",
                "|." if measure == COUNT - 1 else "|",
                () if measure in given else (other,),
            ),
        ]
    return Staff(side, tuple(events))


FAMILY = Family(
    name="interval-building",
    title="Interval building",
    kinds=(NOTES,),
    settings={
        "direction": Setting(("above", "below"), "above", skill=True),
        "label": Setting(
            ("quality", "number"),
            "quality",
            skill=True,
            about="how the interval is named: M3, or 3 for the third in the key",
        ),
        "qualities": replace(QUALITIES, where={"label": ("quality",)}),
        "signature": SIGNATURE,
        "notes": Setting(
            ("melodic", "harmonic"),
            "melodic",
            skill=True,
            about="`melodic` is one note after the other, `harmonic` both at once",
        ),
        "size": SIZE,
    },
    maker=_make,
    by="clef",
    others=(INTERVAL,),
    apart=True,
)
