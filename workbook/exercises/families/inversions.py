"""Inversions: the tonic triad climbing root, 1st, 2nd, root and back, or in mixed order.

Blocked, or broken: the three notes of each position one after another, or four with the lowest
an octave higher.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER, POSITION
from workbook.exercises.blanks import chord_blanks, finger_blanks, give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request, Staff
from workbook.exercises.positions import other_names
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.fingering.conventions import Finger
from workbook.music.chords import TRIAD_POSITIONS, harmony, inversion, position

_ASKS = (POSITION, FINGER)
_SIZES = {"broken": 3, "four-note": 4}
_WORDS = {"broken": "broken triads", "four-note": "broken chords of four notes"}
_CLIMBING = (0, 1, 2, 3, 2, 1, 0)
"""The order of the chords: how often the triad in root position is inverted."""


def _mixed(rng: Random) -> tuple[int, ...]:
    """As many chords, with each position twice or more and none twice running."""
    while True:
        order = tuple(rng.choices(range(4), k=len(_CLIMBING)))
        positions = [turns % 3 for turns in order]
        if (
            all(positions.count(position) >= 2 for position in range(3))
            and positions != [turns % 3 for turns in _CLIMBING]
            and all(one != after for one, after in pairwise(positions))
        ):
            return order


def _make(request: Request, rng: Random) -> Exercise:
    if request.settings["pattern"] != "blocked":
        return _broken(request, rng)
    tonic = harmony(request.key, "I")
    order = _mixed(rng) if request.settings["order"] == "mixed" else _CLIMBING

    def music(at: int) -> Columns:
        up = [inversion(tonic.tones(at), turn) for turn in range(3)] + [tonic.tones(at + 1)]
        return [up[turns] for turns in order]

    sides = fit_register(request, music, rng)
    first = next(iter(sides.values()))
    positions = [position(chord, tonic.root(4)) for chord in first]
    blanks = [
        *chord_blanks("position", sides, [(p, other_names(p)) for p in positions]),
        *(
            b
            for side, columns in sides.items()
            for b in finger_blanks(
                side, columns, [request.fingering.chord(p, side) for p in positions]
            )
        ),
    ]
    return Exercise(
        request.key,
        request.hand,
        wording.task(_ASKS, request.ask, stacked=True),
        wording.label(request),
        printed_staves(sides, "1", bar_lines(7), climbing=True),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _broken(request: Request, rng: Random) -> Exercise:
    """The triads note by note: up in each of the four that climb, down in the others."""
    size = _SIZES[request.settings["pattern"]]
    tonic = harmony(request.key, "I")
    groups = [range(size)] * 4 + [range(size)[::-1]] * 3

    def music(at: int) -> Columns:
        tones = [p for number in range(3) for p in tonic.tones(at + number)]
        return [(tones[turns + step],) for turns, group in zip(_CLIMBING, groups) for step in group]

    sides = fit_register(request, music, rng)
    places = [
        (TRIAD_POSITIONS[turns % 3], step)
        for turns, group in zip(_CLIMBING, groups)
        for step in group
    ]
    blanks: list[Blank] = []
    for side, columns in sides.items():
        fingers = _fingers(request, side, size)
        blanks += finger_blanks(side, columns, [(fingers[place],) for place in places])
    side, columns = next(iter(sides.items()))
    for number, turns in enumerate(_CLIMBING):
        answer = TRIAD_POSITIONS[turns % 3]
        notes = tuple(sorted(p for (p,) in columns[number * size : (number + 1) * size]))
        blanks.append(
            Blank("position", side, number * size, None, notes, answer, other_names(answer))
        )
    return Exercise(
        request.key,
        request.hand,
        wording.task(_ASKS, request.ask),
        wording.label(request, _WORDS[request.settings["pattern"]]),
        tuple(_beamed(staff, size) for staff in printed_staves(sides, "8", _bars(size))),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _fingers(request: Request, side: str, size: int) -> dict[tuple[str, int], Finger]:
    """The finger on each note of each position, low to high. A position keeps its fingering
    throughout; each other fingering of one goes with the first choice of the others.
    """
    table = request.fingering
    choices = [
        table.versions(
            ("chord", shape) if size == 3 else ("broken chord", request.key, shape), side
        )
        for shape in TRIAD_POSITIONS
    ]
    first = {shape: versions[0] for shape, versions in zip(TRIAD_POSITIONS, choices)}
    wholes = [
        first,
        *(
            first | {shape: other}
            for shape, versions in zip(TRIAD_POSITIONS, choices)
            for other in versions[1:]
        ),
    ]
    return {
        (shape, step): Finger(tuple(whole[shape][step] for whole in wholes))
        for shape in TRIAD_POSITIONS
        for step in range(size)
    }


def _beamed(staff: Staff, size: int) -> Staff:
    """The staff with the notes of each position under one beam, in the clef of its chord."""
    notes = [p for event in staff.events for p in event.pitches]
    chords = [tuple(sorted(notes[start : start + size])) for start in range(0, len(notes), size)]
    (blocked,) = printed_staves({staff.hand: chords}, "1", {}, climbing=True)
    ends = {0: "[", size - 1: "]"}
    events = tuple(
        replace(event, beam=ends.get(column % size, ""), clef=blocked.events[column // size].clef)
        for column, event in enumerate(staff.events)
    )
    return replace(staff, events=events, stems=True)


def _bars(size: int) -> dict[int, str]:
    """A bar line after two groups of notes, and a line of music for each way."""
    return {2 * size - 1: "|", 4 * size - 1: "break", 6 * size - 1: "|", 7 * size - 1: "|."}


FAMILY = Family(
    name="inversions",
    title="Tonic triad inversions",
    kinds=_ASKS,
    settings={
        "pattern": Setting(
            ("blocked", "broken", "four-note"),
            "blocked",
            skill=True,
            about="`broken` is note by note; so is `four-note`, with the lowest note an octave "
            "higher too",
        ),
        "order": Setting(
            ("climbing", "mixed"),
            "climbing",
            skill=True,
            about="`climbing` is root, 1st, 2nd, root and back",
            where={"pattern": ("blocked",)},
        ),
    },
    maker=_make,
)
