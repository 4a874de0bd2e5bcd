"""Enharmonic notes: the same piano key under another letter, without double sharps and flats.

Half of the notes are black keys, signed as the key signature is, and half are notes of the key,
as far as these have another name with one sign or none.
"""

from __future__ import annotations

from functools import partial
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Event, Exercise, Request, Staff
from workbook.exercises.registers import Column, ColumnAt, Columns, fit_columns
from workbook.exercises.spellings import key_notes
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, alteration, is_black, semitone
from workbook.music.register import CLEFS

MEASURES = 4


def respelled(p: Pitch) -> list[Pitch]:
    """The pitches on the same piano key with another letter and at most one sign: one or none."""
    near = (Pitch(o, step, sign) for o in _around(p) for step in range(7) for sign in (-1, 0, 1))
    same = (q for q in near if semitone(q) == semitone(p))
    return [q for q in same if (q.octave, q.step) != (p.octave, p.step)]


def _around(p: Pitch) -> range:
    return range(p.octave - 1, p.octave + 2)


def _make(request: Request, rng: Random) -> Exercise:
    given = rng.sample(range(MEASURES), min(request.given, MEASURES - 1))
    music: dict[str, list[ColumnAt]] = {
        side: [partial(_moved, (p, *respelled(p))) for p in _chosen(request.key, rng)]
        for side in SIDES[request.hand]
    }
    staves = [
        _staff(side, columns, given) for side, columns in fit_columns(request, music, rng).items()
    ]
    return Exercise(
        request.key,
        request.hand,
        "Next to each note, write the same piano key under another letter name, without double "
        "sharps or flats.",
        wording.heading(request, "enharmonic notes", by="clef"),
        tuple(staves),
        note_blanks(staves, request.naming),
        signed=False,
    )


def _moved(notes: Column, at: int) -> Column:
    """The notes, of which the first is in octave 4, as many octaves higher as ``at`` is above 4."""
    return tuple(p._replace(octave=p.octave + at - 4) for p in notes)


def _chosen(key: Key, rng: Random) -> list[Pitch]:
    """Different notes, of which each has one other spelling."""
    sign = 1 if key.fifths > 0 or (key.fifths == 0 and rng.random() < 0.5) else -1
    black = [p for step in range(7) if is_black(p := Pitch(4, step, sign))]
    own = [p for p in key_notes(key) if abs(alteration(p)) < 2 and respelled(p)]
    half = MEASURES // 2
    first = rng.sample(black, half)
    rest = [p for p in own if p._replace(octave=4) not in first]
    found = [*first, *rng.sample(rest, half)]
    return rng.sample(found, MEASURES)


def _staff(side: str, columns: Columns, given: list[int]) -> Staff:
    """The printed note and the written one next to it, two to a measure."""
    events = []
    for measure, (base, other) in enumerate(columns):
        last = "|." if measure == MEASURES - 1 else "|"
        written = () if measure in given else (other,)
        events += [
            Event((base,), CLEFS[side], "1"),
            Event((other,), CLEFS[side], "1", last, written),
        ]
    return Staff(side, tuple(events))


FAMILY = Family(
    name="enharmonic-notes",
    title="Enharmonic notes",
    kinds=(NOTES,),
    settings={},
    maker=_make,
    by="clef",
    apart=True,
)
