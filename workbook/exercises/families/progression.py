"""Progression: chords named by numerals, led by the rules, for one hand or in four voices."""

from __future__ import annotations

from random import Random

from workbook.exercises import common, harmonies
from workbook.exercises.model import Blank, Exercise, Family, Request, give
from workbook.music.chords import position
from workbook.music.pitch import letter, semitone
from workbook.music.progressions import Step


def shape(step: Step) -> str | None:
    """The shape of the hand that the fingering table names, None for any other."""
    chord, notes = step.harmony, step.notes
    if len(notes) != 3 or semitone(notes[2]) - semitone(notes[0]) >= 12:
        return None
    if chord.kind.seventh:
        third = letter(notes[0]) == letter(chord.tones(4)[1])
        return "v7-third" if third and chord.quality == "dominant seventh" else None
    return position(notes, chord.root(4))


def fingers(
    request: Request, side: str, columns: common.Columns, line: tuple[Step, ...]
) -> list[Blank]:
    """Finger blanks for the chords of one hand, none for single notes of a bass."""
    chords = [column for column, notes in enumerate(columns) if len(notes) > 1]
    found = common.chord_fingers(
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


def make(request: Request, rng: Random) -> Exercise:
    line, sides = harmonies.place(request, rng)
    keyboard = request.settings.get("style") == "keyboard"
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
            ("numeral", harmonies.numeral_answers(line)),
            ("chord", harmonies.name_answers(line, request.naming)),
        )
        for column, (answer, also) in enumerate(answers)
    ]
    blanks += [
        blank for side, columns in sides.items() for blank in fingers(request, side, columns, line)
    ]
    asked = common.in_order(blanks, request.ask)
    return Exercise(
        "progression",
        request.key,
        request.hand,
        common.task(
            tuple(
                kind
                for kind in ("chord", "numeral", "finger")
                if any(blank.asks == kind for blank in asked)
            ),
            stacked=True,
            numerals=harmonies.numeral_words(line),
        ),
        common.label(request, "four voices" if keyboard else ""),
        common.staves(sides, "1", harmonies.bars(len(line), request.key)),
        give(asked, request.given, rng),
    )


FAMILY = Family(
    "progression",
    "Chord progression",
    ("chord", "numeral", "finger"),
    {"numerals": harmonies.NUMERALS, **harmonies.STYLE},
    make,
    problem=harmonies.problem,
)
