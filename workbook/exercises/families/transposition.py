"""Transposition: a progression in one key, to be written in another key of the same mode."""

from __future__ import annotations

from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import NOTES, NUMERAL
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import START_POSITION, Settings
from workbook.music.keys import ALL_KEYS, Key
from workbook.music.pitch import interval_name, semitone
from workbook.music.register import CLEFS, fewest_lines

EASY = 3
"""The most sharps or flats of the printed key: the hard key is the one to be written."""


def sources(key: Key) -> list[Key]:
    """Easy keys of the same mode on another letter."""
    return [
        other
        for other in ALL_KEYS
        if other.mode == key.mode and abs(other.fifths) <= EASY and other.tonic[0] != key.tonic[0]
    ]


def music(settings: Settings, source: Key, goal: Key, up: bool, at: int) -> Columns:
    """The chords in the key of ``source``, then in that of ``goal`` above or below."""
    # in one octave, as octaves are numbered, the new tonic lies above or below
    higher = semitone(goal.tonic_in(4)) > semitone(source.tonic_in(4))
    shift = 0 if up == higher else 1 if up else -1
    return [
        step.notes
        for key, octave in ((source, at), (goal, at + shift))
        for step in harmonies.steps(settings, key, octave)
    ]


def _far(source: Key, goal: Key, up: bool) -> bool:
    """Whether ``goal`` lies more than a perfect fifth away on that side."""
    higher = (semitone(goal.tonic_in(4)) - semitone(source.tonic_in(4))) % 12
    return (higher if up else -higher % 12) > 7


def _odd(source: Key, goal: Key, up: bool) -> bool:
    """Whether the interval from key to key is augmented or diminished."""
    low, high = (source, goal) if up else (goal, source)
    at = 4 if semitone(low.tonic_in(4)) < semitone(high.tonic_in(4)) else 5
    return interval_name(low.tonic_in(4), high.tonic_in(at))[0] in "Ad"


def choose(request: Request, rng: Random) -> tuple[Key, bool]:
    """A key to transpose from, and whether the new key lies above it.

    Both fit the staves. The keys are a major, minor or perfect interval of a fifth at most
    apart, if that can be.
    """
    ways = [(source, up) for source in sources(request.key) for up in (True, False)]
    rng.shuffle(ways)
    ways.sort(
        key=lambda way: (_odd(way[0], request.key, way[1]), _far(way[0], request.key, way[1]))
    )

    def need(way: tuple[Key, bool]) -> int:
        return fewest_lines(
            request.hand, lambda at: music(request.settings, way[0], request.key, way[1], at)
        )

    return next((way for way in ways if need(way) <= request.ledger_lines), min(ways, key=need))


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
