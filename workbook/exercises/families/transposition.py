"""Transposition: a progression in one key, to be written in another key of the same mode."""

from __future__ import annotations

from random import Random

from workbook.exercises import harmonies, transposing, wording
from workbook.exercises.answers import NOTES, NUMERAL
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import START_POSITION, Settings
from workbook.music.keys import Key
from workbook.music.register import CLEFS, fewest_lines


def music(settings: Settings, source: Key, goal: Key, up: bool, at: int) -> Columns:
    """The chords in the key of ``source``, then in that of ``goal`` above or below."""
    return [
        step.notes
        for key, octave in ((source, at), (goal, at + transposing.shift(source, goal, up)))
        for step in harmonies.steps(settings, key, octave)
    ]


def choose(request: Request, rng: Random) -> tuple[Key, bool]:
    """A key to transpose from, and whether the new key lies above it; both fit the staves."""

    def need(source: Key, up: bool) -> int:
        return fewest_lines(
            request.hand, lambda at: music(request.settings, source, request.key, up, at)
        )

    return transposing.choose(request.key, need, request.ledger_lines, rng)


def _make(request: Request, rng: Random) -> Exercise:
    goal, (source, up) = request.key, choose(request, rng)
    sides = fit_register(request, lambda at: music(request.settings, source, goal, up, at), rng)
    line = harmonies.steps(request.settings, goal, 4)
    count = len(line)
    staves = tuple(
        Staff(
            side,
            tuple(
                Event(
                    notes,
                    CLEFS[side],
                    "1",
                    _after(column, count),
                    written=notes if column >= count else (),
                    signature={0: source, count: goal}.get(column),
                )
                for column, notes in enumerate(columns)
            ),
        )
        for side, columns in sides.items()
    )
    first = next(iter(sides))
    labels = tuple(
        Blank(
            "numeral",
            first,
            column,
            None,
            sides[first][column],
            harmonies.numeral_answers(line)[column % count][0],
            given=True,
        )
        for column in range(count)
    )
    note = request.naming.key
    return Exercise(
        goal,
        request.hand,
        "Write the chords in the new key. Keep the position of each.",
        wording.heading(request, f"{note(source)} {'up' if up else 'down'} to {note(goal)}"),
        staves,
        labels + note_blanks(staves, request.naming),
    )


def _after(column: int, count: int) -> str:
    return {count - 1: "break", 2 * count - 1: "|."}.get(column, "|")


def _problem(settings: Settings, key: Key, hand: str) -> str:
    if wrong := harmonies.problem(settings, key, hand):
        return wrong
    if len(harmonies.steps(settings, key, 4)) > harmonies.WIDE_LINE:
        return f"a progression to be transposed has {harmonies.WIDE_LINE} chords at most"
    return ""


FAMILY = Family(
    name="transposition",
    title="Transposition",
    kinds=(NOTES,),
    settings={
        "numerals": harmonies.NUMERALS,
        "start": START_POSITION,
    },
    maker=_make,
    rule=_problem,
    others=(NUMERAL,),
)
