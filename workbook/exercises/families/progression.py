"""Progression: chords named by numerals, led by the rules, for one hand or in four voices."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import CHORD, FINGER, NUMERAL
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.fingers import chord_fingers
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns
from workbook.exercises.settings import FIFTH, START_POSITION, STYLE, skilled
from workbook.exercises.staves import printed_staves
from workbook.music.chords import position
from workbook.music.pitch import letter, semitone
from workbook.music.progressions import Step


def shape(step: Step) -> str | None:
    """The name of the hand's shape in the fingering table, or None if it has none."""
    chord, notes = step.harmony, step.notes
    if len(notes) != 3 or semitone(notes[2]) - semitone(notes[0]) >= 12:
        return None
    if chord.kind.seventh:
        names = dict(zip(map(letter, chord.tones(4)), ("root", "third", "fifth", "seventh")))
        without_fifth = "fifth" not in [names[letter(p)] for p in notes]
        dominant = without_fifth and chord.quality == "dominant seventh"
        return f"v7-{names[letter(notes[0])]}" if dominant else None
    return position(notes, chord.root(4))


def fingers(request: Request, side: str, columns: Columns, line: tuple[Step, ...]) -> list[Blank]:
    """Finger blanks for the chords of one hand; single notes of a bass have none."""
    chords = [column for column, notes in enumerate(columns) if len(notes) > 1]
    found = chord_fingers(
        request,
        side,
        [columns[column] for column in chords],
        [shape(line[column]) for column in chords],
    )
    return [
        Blank(
            "finger",
            side,
            column,
            note,
            (columns[column][note],),
            finger.finger,
            finger.also,
            versions=finger.versions,
        )
        for column, chord in zip(chords, found)
        for note, finger in enumerate(chord)
    ]


def _make(request: Request, rng: Random) -> Exercise:
    line, sides = harmonies.columns(request, rng)
    keyboard = request.settings["style"] == "keyboard"
    first = next(iter(sides))
    blanks = [
        Blank(
            asks,
            first,
            column,
            None,
            harmonies.all_notes(sides, column) if keyboard else sides[first][column],
            answer,
            also,
        )
        for asks, answers in (
            ("numeral", harmonies.numeral_answers(line, request.naming)),
            ("chord", harmonies.name_answers(line, request.naming)),
        )
        for column, (answer, also) in enumerate(answers)
    ]
    blanks += [
        blank for side, columns in sides.items() for blank in fingers(request, side, columns, line)
    ]
    asked = in_order(blanks, request.ask)
    return Exercise(
        request.key,
        request.hand,
        wording.task(
            (CHORD, replace(NUMERAL, task=harmonies.numeral_words(line)), FINGER),
            {blank.asks for blank in asked},
            stacked=True,
        ),
        wording.label(request, "four voices" if keyboard else ""),
        printed_staves(sides, "1", harmonies.bars(len(line), request.key)),
        give(asked, request.given, rng),
    )


FAMILY = Family(
    name="progression",
    title="Chord progression",
    kinds=(CHORD, NUMERAL, FINGER),
    settings={
        "numerals": harmonies.NUMERALS,
        "style": STYLE,
        "start": skilled(START_POSITION),
        "fifth": FIFTH,
    },
    maker=_make,
    rule=harmonies.problem,
    settle=harmonies.settle,
)
