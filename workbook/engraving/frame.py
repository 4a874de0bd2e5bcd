"""The frame that music is set in: how long its lines are, and where the notes are in them.

In: an exercise and the hand that writes. Out: a ``Frame``, the lines of music in it, and the
width that each column gets. A line is its lead (clef and signature) and then columns of one
width, each with its note in the middle, so that boxes are as far apart as notes and
like exercises stand under each other. Measures are in staff spaces.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from workbook import design
from workbook.design import HANDS
from workbook.engraving import line_breaks
from workbook.engraving.rows import ALIGN, BoxRow, box_rows, boxes_at_ends
from workbook.exercises.model import Event, Exercise, Staff
from workbook.music.keys import signature
from workbook.music.pitch import Pitch, alteration, letter, staff_degree

_TIME_SIGNS = 2
"""A time signature after a key signature is as wide as so many sharps."""
_LABEL = 8.0
"""The room at the left of a line for the names of its rows of boxes."""
_END, _CLEF = 0.18, 3.6
"""What the end of a line takes of its columns, in columns, and what a clef does that stands there
for the next line, in staff spaces (measured).
"""
_FINAL_BAR, _INNER_BAR = 1.2, 0.75
"""The width of a final bar line and the space before it, and half a double bar line with the space
after it, in staff spaces.
"""
_BARELY = 1.05
"""Chords that are too wide for their columns make others narrower by up to 3 % (measured)."""
_TRIES = 12
"""How often the lines of an exercise are tried with more of them."""
_ALIKE = 0.7
"""A part of an exercise with at least so many of the columns of another has as many lines."""


_HEADS, _HEAD = {"2": 1.376, "1": 1.962}, 1.316
"""The width of a note head in staff spaces, by its value (LilyPond's font Emmentaler)."""
_SIGN_WIDTH = {-2: 1.7, -1: 1.0, 0: 0.8, 1: 1.2, 2: 1.1}
"""The width of an accidental with the space beside it, by its semitones, in staff spaces."""
_SIGN_GAP, _SIGNS_APART = 0.3, 5
"""From the accidentals to the head, in staff spaces; the most steps between two accidentals that
stand beside each other."""


class Frame(NamedTuple):
    """Lines ``width`` long with a lead of ``lead``, both in staff spaces; ``size`` names the
    hand that writes.
    """

    width: float
    lead: float
    size: str = design.DEFAULT_HAND


def signs(exercise: Exercise) -> int:
    """The most sharps or flats at the beginning of a line, a time signature counted as two.

    0 where signatures are to be written: the room for them goes on beyond the lead.
    """
    keys = [exercise.key] if exercise.signed else []
    for staff in exercise.staves:
        if any(event.signature_written for event in staff.events):
            return 0
        keys += [
            event.signature
            for column, event in enumerate(staff.events)
            if event.signature and (not column or staff.events[column - 1].after == "break")
        ]
    timed = any(staff.lines > 1 and staff.events[0].time for staff in exercise.staves)
    return max((abs(key.fifths) for key in keys), default=0) + _TIME_SIGNS * timed


def lead(exercises: Iterable[Exercise]) -> float:
    """The lead of exercises that begin at the same place."""
    most = max(map(signs, exercises), default=0)
    return next(lead for number, lead in sorted(design.LEADS.items()) if number >= most)


class Need(NamedTuple):
    """What an exercise needs of its frame: ``pitch`` from column to column at least, so much
    that its boxes, with half a gap at the end of the line, reach before the first column's middle
    and past the last's (``before`` and ``after``), and how many columns it has. Rows of ``boxes``
    need this pitch.
    """

    pitch: float
    before: float
    after: float
    columns: int
    boxes: float

    def fits(self, width: float, lead: float, columns: int) -> bool:
        """Whether so many columns fit on a line."""
        pitch = (width - lead) / (columns + _END)
        return pitch >= self.pitch and lead + pitch / 2 >= self.before and pitch / 2 >= self.after


def need(exercise: Exercise, size: str) -> Need:
    """What an exercise needs of its frame, for the hand ``size``."""
    return exercise.once(_NEEDS[size])


def _need(exercise: Exercise, size: str) -> Need:
    rows = [row for row in box_rows(exercise, size) if row.stacks]
    labels = _LABEL if len({row.asks for row in rows}) > 1 else 0.0
    writes = exercise.roomy or any(e.written for staff in exercise.staves for e in staff.events)
    between = any(not event.pitches for event in exercise.staves[0].events)
    signs = any(
        e.sign or (e.time and column)
        for staff in exercise.staves
        for column, e in enumerate(staff.events)
    )
    plain = design.ALTERED_PITCH if _has_accidentals(exercise) else design.NOTE_PITCH
    printed = design.SIGN_PITCH if signs else plain
    notes = design.WRITING_PITCH if writes else printed
    ends = [row.box[0] + 2 * design.BOX_GAP for row in boxes_at_ends(exercise, size).values()]
    boxes = max([*map(_row_pitch, rows), *_after_bars(exercise, rows)], default=0.0)
    pitch = max([design.BETWEEN_PITCH if between else notes, boxes, *ends])
    last = len(exercise.staves[0].events) - 1
    # a bar line reaches as low as boxes do where the staff has one line
    edge = _FINAL_BAR if exercise.staves[0].lines == 1 else HANDS[size].gap / 2
    return Need(
        pitch,
        max((row.box[0] * row.before + labels for row in rows if 0 in row.stacks), default=0.0),
        edge
        + max((row.box[0] * (1 - row.before) for row in rows if last in row.stacks), default=0.0),
        last + 1,
        boxes,
    )


def _after_bars(exercise: Exercise, rows: Iterable[BoxRow]) -> Iterator[float]:
    """The pitch at which the boxes of each row are clear of the bar line before them, which reaches
    as low as they do where the staff has one line.
    """
    (staff, *_) = exercise.staves
    lines = [event.after not in ("", "break") for event in staff.events]
    first = {column for column, line in enumerate(lines, 1) if line}
    for row in rows:
        if staff.lines == 1 and not row.above and first.intersection(row.stacks):
            yield 2 * (row.box[0] * row.before + _INNER_BAR)


def _has_accidentals(exercise: Exercise) -> bool:
    """Whether a note is not as its signature has it."""
    return any(
        alteration(p) != altered.get(letter(p), 0)
        for staff in exercise.staves
        for _, event, altered in _bars(staff, exercise)
        for p in event.pitches
    )


def _row_pitch(row: BoxRow) -> float:
    gaps = [second - first for first, second in pairwise(sorted(row.stacks))]
    if not gaps and row.asks in ALIGN:  # a single box reaches over the columns beside its own
        return 0.0
    return (row.box[0] + HANDS[row.size].gap) / min(gaps, default=len(row.stacks) + 1)


_NEEDS = {size: partial(_need, size=size) for size in HANDS}


def lines(exercise: Exercise, frame: Frame) -> tuple[int, ...]:
    """The columns after which the lines of music end, but for the last.

    Where the lines that a run asks for are too long, each of its ways has lines of its own. Parts
    of the music that are about as long as each other have the same number of lines, as both ways of
    a run do; a short part may have fewer.
    """
    found = tuple(last for _, last in line_breaks.parts(exercise)[:-1])
    if _fit(exercise, frame, found):
        return found
    parts = line_breaks.ways(exercise)
    if (
        HANDS[frame.size].few
        and len(exercise.staves) > 1
        and line_breaks.is_run(exercise.staves[0])
    ):
        parts = line_breaks.whole(exercise)
    counts = [1] * len(parts)
    for _ in range(_TRIES):
        ends = line_breaks.line_ends(exercise, parts, counts)
        if len(ends) + 1 < sum(counts):
            break
        found = ends
        if _fit(exercise, frame, found):
            break
        columns = longest(found, len(exercise.staves[0].events))
        too_long = [
            last - first + 1
            for first, last in parts
            if _longest_line(found, first, last) == columns
        ]
        counts = [
            count + any(last - first + 1 >= _ALIKE * one for one in too_long)
            for count, (first, last) in zip(counts, parts)
        ]
    return found


def _fit(exercise: Exercise, frame: Frame, ends: Sequence[int]) -> bool:
    """Whether lines that end after these columns have room in a frame."""
    needed = need(exercise, frame.size)
    width = frame.width - _CLEF * any(clef_changes(exercise, end) for end in ends)
    columns = longest(ends, needed.columns)
    pitch = (width - frame.lead) / (columns + _END)
    return needed.fits(width, frame.lead, columns) and not _are_boxes_crammed(
        exercise, needed, pitch, ends
    )


def _are_boxes_crammed(exercise: Exercise, needed: Need, pitch: float, ends: Sequence[int]) -> bool:
    """Whether what follows a bar line within a line takes room that boxes need: they barely fit at
    this ``pitch``, and chords with their accidentals do not fit between bar line and column.
    """
    if pitch > _BARELY * needed.boxes:
        return False
    rooms = exercise.once(room_after_bars).items()
    return any(2 * room > pitch for column, room in rooms if column - 1 not in ends)


def clef_changes(exercise: Exercise, column: int) -> bool:
    """Whether a staff has another clef after a column."""
    changes = (staff.events[column : column + 2] for staff in exercise.staves)
    return any(before.clef != after.clef for before, after in changes)


def longest(ends: Sequence[int], columns: int) -> int:
    """The number of columns on the longest of the lines that end after ``ends``."""
    return _longest_line(ends, 0, columns - 1)


def _longest_line(ends: Sequence[int], first: int, last: int) -> int:
    """The number of columns on the longest line from column ``first`` to ``last``."""
    inner = [end for end in ends if first <= end < last]
    return max(end - start for start, end in pairwise([first - 1, *inner, last]))


def one_line(exercise: Exercise, width: float, lead: float, size: str) -> bool:
    """Whether an exercise fits on one line ``width`` long."""
    if len(line_breaks.parts(exercise)) > 1:
        return False
    needed = need(exercise, size)
    pitch = (width - lead) / needed.columns
    return needed.fits(width, lead, needed.columns) and pitch >= exercise.once(_clear)


def _clear(exercise: Exercise) -> float:
    """The pitch at which what follows a bar line within a line stands clear of it."""
    return 2 * max(exercise.once(room_after_bars).values(), default=0.0)


def room_after_bars(exercise: Exercise) -> dict[int, float]:
    """For each column after a bar line, the room from the line to the middle of its chord."""
    found: dict[int, float] = {}
    for staff in exercise.staves:
        for column, (before, event, altered) in enumerate(_bars(staff, exercise), 1):
            if before.after and event.pitches:
                room = _reach(event, altered) + design.AFTER_BAR
                found[column] = max(found.get(column, 0.0), room)
    return found


def _bars(staff: Staff, exercise: Exercise) -> Iterator[tuple[Event, Event, Mapping[str, int]]]:
    """Each two neighbouring events of a staff, with the signature of the second."""
    key = exercise.key if exercise.signed else None
    for before, event in pairwise(staff.events):
        key = event.signature or before.signature or key
        yield before, event, signature(key) if key else {}


def head_width(value: str) -> float:
    """The width of a note head in staff spaces, by its value, with dots or without: ``"4."``."""
    return _HEADS.get(value.rstrip("."), _HEAD)


def _reach(event: Event, altered: Mapping[str, int]) -> float:
    """How far the heads of a chord and their accidentals reach to the left of its middle, at
    most; ``altered`` are the notes of the signature.
    """
    degrees = sorted(map(staff_degree, event.pitches))
    aside = any(high - low == 1 for low, high in pairwise(degrees))
    columns: list[list[Pitch]] = []
    for p in sorted(event.pitches, key=staff_degree, reverse=True):
        if alteration(p) == altered.get(letter(p), 0):
            continue
        for column in columns:  # signs a sixth apart stand above each other
            if staff_degree(column[-1]) - staff_degree(p) > _SIGNS_APART:
                column.append(p)
                break
        else:
            columns.append([p])
    signs = sum(max(_SIGN_WIDTH[alteration(p)] for p in column) for column in columns)
    head = head_width(event.value)
    return (0.5 + aside) * head + (signs + _SIGN_GAP if columns else 0.0)


def natural(exercise: Exercise, size: str = design.DEFAULT_HAND) -> Frame:
    """A frame for an exercise on its own: a column of a page, or its whole measure."""
    if not exercise.staves:
        return Frame(0.0, 0.0, size)
    page = design.PAPERS["letter"][0] - 2 * design.SIDE
    space, start = HANDS[size].space, lead([exercise])
    column = (page - design.COLUMN_GAP) / 2 / space
    width = column if one_line(exercise, column, start, size) else page / space
    return Frame(round(width, 3), start, size)
