"""Inversions: the tonic triad climbing root, 1st, 2nd, root and back, or in mixed order; the
dominant seventh likewise, with its 3rd inversion.

Blocked, or broken: the notes of each position one after another, or four of a triad with the
lowest an octave higher.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER, POSITION, AnswerKind
from workbook.exercises.blanks import Answer, chord_blanks, finger_blanks, give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request, Staff
from workbook.exercises.positions import other_names
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.fingering.conventions import Finger, Fingers
from workbook.fingering.table import Subject
from workbook.music.chords import (
    POSITIONS,
    TRIAD_POSITIONS,
    Harmony,
    harmony,
    inversion,
    position,
)

_ASKS = (POSITION, FINGER)
_TONIC, _DOMINANT = _CHORDS = ("tonic triad", "dominant seventh")
_NUMERALS = {_TONIC: "I", _DOMINANT: "V7"}


def _climbing(count: int) -> tuple[int, ...]:
    """The order of the chords: how often a chord of ``count`` notes is inverted.

    >>> _climbing(3)
    (0, 1, 2, 3, 2, 1, 0)
    """
    return (*range(count + 1), *range(count - 1, -1, -1))


def _mixed(count: int, rng: Random) -> tuple[int, ...]:
    """As many chords, with each position twice or more and none twice running."""
    climbing = _climbing(count)
    while True:
        order = tuple(rng.choices(range(count + 1), k=len(climbing)))
        positions = [turns % count for turns in order]
        if (
            all(positions.count(position) >= 2 for position in range(count))
            and positions != [turns % count for turns in climbing]
            and all(one != after for one, after in pairwise(positions))
        ):
            return order


def _make(request: Request, rng: Random) -> Exercise:
    if request.settings["pattern"] != "blocked":
        return _broken(request, rng)
    chord = _chord(request)
    count = len(chord.tones(4))
    order = _mixed(count, rng) if request.settings["order"] == "mixed" else _climbing(count)

    def music(at: int) -> Columns:
        up = [inversion(chord.tones(at), turn) for turn in range(count)] + [chord.tones(at + 1)]
        return [up[turns] for turns in order]

    sides = fit_register(request, music, rng)
    first = next(iter(sides.values()))
    positions = [position(notes, chord.root(4)) for notes in first]
    blanks = [
        *chord_blanks("position", sides, [_position(p, count) for p in positions]),
        *(
            b
            for side, columns in sides.items()
            for b in finger_blanks(side, columns, [_grip(request, p, side) for p in positions])
        ),
    ]
    return Exercise(
        request.key,
        request.hand,
        wording.task(_kinds(count), request.ask, stacked=True),
        wording.label(request, _words(request)),
        printed_staves(sides, "1", bar_lines(len(order)), climbing=True),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _broken(request: Request, rng: Random) -> Exercise:
    """The chords note by note: up in each that climbs, down in the others."""
    chord = _chord(request)
    count = len(chord.tones(4))
    size = 4 if request.settings["pattern"] == "four-note" else count
    order = _climbing(count)
    groups = [range(size)] * (count + 1) + [range(size)[::-1]] * count

    def music(at: int) -> Columns:
        tones = [p for number in range(3) for p in chord.tones(at + number)]
        return [(tones[turns + step],) for turns, group in zip(order, groups) for step in group]

    sides = fit_register(request, music, rng)
    places = [
        (POSITIONS[turns % count], step) for turns, group in zip(order, groups) for step in group
    ]
    blanks: list[Blank] = []
    for side, columns in sides.items():
        fingers = _fingers(request, side, size)
        blanks += finger_blanks(side, columns, [(fingers[place],) for place in places])
    side, columns = next(iter(sides.items()))
    for number, turns in enumerate(order):
        answer, also = _position(POSITIONS[turns % count], count)
        notes = tuple(sorted(p for (p,) in columns[number * size : (number + 1) * size]))
        blanks.append(Blank("position", side, number * size, None, notes, answer, also))
    bars = _bars(size, len(groups))
    return Exercise(
        request.key,
        request.hand,
        wording.task(_kinds(count), request.ask),
        wording.label(request, _words(request)),
        tuple(_beamed(staff, size) for staff in printed_staves(sides, "8", bars)),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _chord(request: Request) -> Harmony:
    return harmony(request.key, _NUMERALS[request.settings["chord"]])


def _kinds(count: int) -> tuple[AnswerKind, ...]:
    """What is asked of chords of ``count`` notes, in words."""
    if count == len(TRIAD_POSITIONS):
        return _ASKS
    return replace(POSITION, task=f"positions ({', '.join(POSITIONS)})"), FINGER


def _position(name: str, count: int) -> Answer:
    return name, other_names(name, seventh=count > len(TRIAD_POSITIONS))


def _words(request: Request) -> str:
    """What a label says of the chord and its pattern: nothing of a blocked triad."""
    chord, pattern = request.settings["chord"], request.settings["pattern"]
    if chord == _DOMINANT:
        return chord if pattern == "blocked" else f"{chord}, broken"
    return {"broken": "broken triads", "four-note": "broken chords of four notes"}.get(pattern, "")


def _grip(request: Request, shape: str, side: str) -> Fingers:
    """The fingers of a blocked chord in the position ``shape``."""
    if request.settings["chord"] == _DOMINANT:
        return request.fingering.seventh_chord(shape, side)
    return request.fingering.chord(shape, side)


def _fingers(request: Request, side: str, size: int) -> dict[tuple[str, int], Finger]:
    """The finger on each note of each position, low to high. A position keeps its fingering
    throughout; each other fingering of one goes with the first choice of the others.
    """
    table, dominant = request.fingering, request.settings["chord"] == _DOMINANT
    shapes = POSITIONS if dominant else TRIAD_POSITIONS

    def subject(shape: str) -> Subject:
        if dominant:
            return "seventh chord", shape
        return ("chord", shape) if size == 3 else ("broken chord", request.key, shape)

    choices = [table.versions(subject(shape), side) for shape in shapes]
    first = {shape: versions[0] for shape, versions in zip(shapes, choices)}
    wholes = [
        first,
        *(
            first | {shape: other}
            for shape, versions in zip(shapes, choices)
            for other in versions[1:]
        ),
    ]
    return {
        (shape, step): Finger(tuple(whole[shape][step] for whole in wholes))
        for shape in shapes
        for step in range(size)
    }


def _beamed(staff: Staff, size: int) -> Staff:
    """The staff with the notes of each position under one beam, in the clef of its chord."""
    notes = [p for event in staff.events for p in event.pitches]
    chords = [tuple(sorted(notes[start : start + size])) for start in range(0, len(notes), size)]
    (blocked,) = printed_staves({staff.hand: chords}, "1", {}, climbing=True)
    ends = {0: "[", size - 1: "]"}
    events = tuple(
        event._replace(beam=ends.get(column % size, ""), clef=blocked.events[column // size].clef)
        for column, event in enumerate(staff.events)
    )
    return replace(staff, events=events, stems=True)


def _bars(size: int, groups: int) -> dict[int, str]:
    """Of a triad a bar line after two groups of notes and a line of music for each way, of nine
    groups a bar line after each and three to a line.
    """
    bars = {2: "|", 4: "break", 6: "|"}
    if groups > 7:
        bars = {number: "|" if number % 3 else "break" for number in range(1, groups)}
    return {**{number * size - 1: bar for number, bar in bars.items()}, groups * size - 1: "|."}


FAMILY = Family(
    name="inversions",
    title="Chord inversions",
    kinds=_ASKS,
    settings={
        "pattern": Setting(
            ("blocked", "broken", "four-note"),
            "blocked",
            skill=True,
            about="`broken` is note by note; so is `four-note`, with the lowest note an octave "
            "higher too",
        ),
        "chord": Setting(
            _CHORDS,
            _TONIC,
            skill=True,
            about="which chord is inverted",
            where={"pattern": ("blocked", "broken")},
        ),
        "order": Setting(
            ("climbing", "mixed"),
            "climbing",
            skill=True,
            about="`climbing` is root, 1st, 2nd (3rd), root and back",
            where={"pattern": ("blocked",)},
        ),
    },
    maker=_make,
)
