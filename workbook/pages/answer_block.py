"""One exercise in the list of answers: its number, a line for each row of boxes, alternatives.

In: an exercise with the places of its blanks. Out: the width that it needs, and a block of
elements. Fingers stand on an even grid, in groups as the hand moves; other answers stand in
columns, so that a numeral stands under its chord. What is filled in as help stands in parentheses.
A row that is too wide for the page is broken where its music would be, into lines of about the same
length. Where rows take turns, so that boxes are listed in another order than they are counted, the
label of a line says which boxes it has.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise, zip_longest
from math import inf
from typing import NamedTuple

from workbook import design
from workbook.design import (
    LIST_AFTER_LABEL,
    LIST_BASELINE,
    LIST_BELOW_NOTE,
    LIST_COLUMN,
    LIST_COLUMN_GAP,
    LIST_DIGIT,
    LIST_GROUP,
    LIST_LABEL,
    LIST_LEADING,
    LIST_LEAST_DIGIT,
    LIST_LEAST_GAP,
    LIST_NOTE_BASELINE,
    LIST_NOTE_LEADING,
    LIST_WORD_SPACE,
)
from workbook.engraving.line_breaks import ends_between
from workbook.exercises.answers import FINGER
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.model import Blank, Exercise, Place
from workbook.fingering.reasons import crossings
from workbook.marking.accepted import box_rows
from workbook.marking.answer_rows import AnswerRow, Key, Listing, Placed, listing, named, told
from workbook.music.pitch import semitone
from workbook.pages.elements import Element, Group, Start, Text
from workbook.planning.plan import Item
from workbook.typesetting import figured, text

ANSWER, WORDS, _QUIET = design.HEADING, design.TEXT, design.QUIET
"""Font sizes: of answers; of what is said of them in words, and of answers too wide for the page;
of labels and alternatives."""
_SIDES = {"hand": {"right": "right", "left": "left"}, "clef": {"right": "treble", "left": "bass"}}

_PARENTHESIS = text.width("(", "bold", ANSWER)
_HAIR = 0.01

_Row = AnswerRow[Blank]
_Line = list[Text]
"""Texts at height 0, from the left edge of the answers."""


@dataclass(frozen=True)
class AnswerBlock:
    """Elements that stay together. Their top is at height 0; all measures are in points.

    ``above`` is white space, dropped at the top of a column. ``repeated`` is set above the block
    where it begins another page.
    """

    elements: tuple[Element, ...]
    height: float
    above: float = 0.0
    repeated: AnswerBlock | None = None


class Needs(NamedTuple):
    """The widths, in points, in which each row of an exercise has one line, if the page is as wide:
    from the left edge to the answers, with the labels, and of the answers.
    """

    before: float
    answers: float


def needs(item: Item, shape: Shape, size: float, measure: float) -> Needs:
    """What an exercise with blanks in ``shape`` needs for answers of ``size``, on a page whose
    ``measure`` is so wide.
    """
    return item.exercise.once(_needs, shape, size, measure)


def item_block(
    item: Item, shape: Shape, width: float, before: float, size: float, answers: Group
) -> AnswerBlock:
    """An exercise with blanks in ``shape``, ``width`` points wide, with its answers from
    ``before``, of ``size``: an entry of the list ``answers``.
    """
    made = item.exercise.once(_block, width, before, size, shape)
    number = Text(0.0, -LIST_BASELINE, f"{item.number}", "regular", WORDS)
    entry = Group("LI", answers)
    return replace(
        made, elements=(Start(entry, "Lbl"), number, Start(entry, "LBody"), *made.elements)
    )


Shape = bytes
"""Of each blank four numbers (``_NUMBERS``): its index in the exercise, its page, counted from that
of the first one, and the ranks of its lower and upper edge among all edges.
"""
_NUMBERS = "i"


def shape_of(exercise: Exercise, placed: Sequence[Placed[Blank]]) -> Shape:
    """The relative positions of blanks: the same on the sheets of all who share the exercise."""
    indices, first, low = exercise.once(_indices), placed[0].page, placed[0].rect[1]
    edges = {
        (bottom, top): (round(100 * (bottom - low)), round(100 * (top - low)))
        for bottom, top in {rect[1::2] for _, _, rect in placed}
    }
    heights = sorted({height for pair in edges.values() for height in pair})
    rank = {height: number for number, height in enumerate(heights)}
    ranks = {pair: (rank[bottom], rank[top]) for pair, (bottom, top) in edges.items()}
    numbers = array(_NUMBERS)
    for blank, page, rect in placed:
        numbers.extend((indices[blank[:4]], page - first, *ranks[rect[1::2]]))
    return numbers.tobytes()


def _indices(exercise: Exercise) -> dict[Place, int]:
    return {blank[:4]: index for index, blank in enumerate(exercise.blanks)}


def _laid(exercise: Exercise, shape: Shape) -> tuple[Listing[Blank], list[str]]:
    """The rows of an exercise, and the label of each, system by system."""
    left = iter(array(_NUMBERS, shape))
    placed = [
        Placed(exercise.blanks[index], page, (0.0, low, 0.0, high))
        for index, page, low, high in zip(left, left, left, left)
    ]
    asked = box_rows(exercise.asked)
    shown = listing(placed, asked, exercise.figure is None)
    return shown, _labels(exercise, shown, list(asked))


def _needs(exercise: Exercise, shape: Shape, size: float, measure: float) -> Needs:
    shown, labels = exercise.once(_laid, shape)
    blanks = [row.blanks for system in shown.systems for row in system]
    hang = _PARENTHESIS * any(blank.given for row in blanks for blank in row)
    answers = max(_least(exercise, system, size) for system in shown.systems)

    def before(named: Iterable[str]) -> float:
        widest = max(text.width(label, "regular", _QUIET) for label in named)
        return LIST_LABEL + widest + LIST_AFTER_LABEL + hang * (widest > 0)

    needed = before(_told(exercise, zip(labels, blanks)))
    if needed + answers > measure:  # any line may say which boxes it has
        last = len(exercise.asked)
        needed = before(_with_boxes(label, f"{last}–{last}") for label in labels)
    return Needs(needed, answers)


def _least(exercise: Exercise, rows: Sequence[_Row], size: float) -> float:
    """The least width in which each row of a system has one line."""
    if _is_each_alone(rows):
        return max(_row_width(exercise, row) for row in rows)
    wide = _widths(rows, size)
    return sum(wide) + _least_gap(rows) * (len(wide) - 1)


def _row_width(exercise: Exercise, row: _Row) -> float:
    if KINDS[row.asks].played:
        return _finger_width(_groups(exercise, row))
    (line,) = _said(row)
    return line[-1].x + text.width(line[-1].text, "regular", WORDS)


def _block(
    exercise: Exercise, width: float, before: float, size: float, shape: Shape
) -> AnswerBlock:
    """The exercise without its number."""
    shown, labels = exercise.once(_laid, shape)
    made = list(_lines(exercise, shown, labels, width - before, size))
    named = _told(exercise, ((label, blanks) for label, _, blanks in made))
    elements: list[Element] = []
    y = 0.0
    for label, (_, line, _) in zip(named, made):
        base = y - LIST_BASELINE
        if label:
            elements.append(Text(LIST_LABEL, base, label, "regular", _QUIET))
        elements += [one._replace(x=before + one.x, y=base) for one in line]
        y -= LIST_LEADING
    notes = [
        line for note in shown.notes for line in text.wrap(note, "regular", _QUIET, width - before)
    ]
    for note in notes:
        drawn = Text(before, y - LIST_NOTE_BASELINE, note, "regular", _QUIET, grammar="words")
        elements.append(drawn)
        y -= LIST_NOTE_LEADING
    y -= (LIST_NOTE_BASELINE + LIST_BELOW_NOTE - LIST_NOTE_LEADING) * bool(notes)
    exercise.forget(_laid, shape)
    return AnswerBlock(tuple(elements), -y)


def _told(exercise: Exercise, lines: Iterable[tuple[str, Iterable[Blank]]]) -> Iterator[str]:
    """The labels of lines, with the boxes that the line has where these do not follow the ones
    before.
    """
    counted = {blank[:4]: number for number, blank in enumerate(exercise.asked, 1)}
    before = 0
    for label, blanks in lines:
        boxes = [counted[blank[:4]] for blank in blanks if blank[:4] in counted]
        yield _with_boxes(label, _told_boxes(boxes, before))
        before = boxes[-1] if boxes else before


def _with_boxes(label: str, boxes: str) -> str:
    return " ".join(filter(None, [label, boxes]))


def _told_boxes(boxes: Sequence[int], before: int) -> str:
    """The first and the last of the ``boxes`` of a line, unless they follow the one ``before``."""
    if not boxes or boxes[0] == before + 1:
        return ""
    return f"{boxes[0]}–{boxes[-1]}" if len(boxes) > 1 else f"{boxes[0]}"


def _labels(exercise: Exercise, shown: Listing[Blank], keys: Sequence[Key]) -> list[str]:
    """The labels of the rows, system by system: what a row asks, or the hand that plays it or the
    clef that it is read in.

    A single row that continues is named once; if it turns, ``"right, up"`` is followed by
    ``"down"``.
    """
    rows = [row for system in shown.systems for row in system]
    if len({row.asks for row in rows}) > 1:
        return [named(row.key, keys) for row in rows]
    sides = _SIDES.get(FAMILIES[exercise.family].by, {})
    if len(keys) > 1:
        return [sides.get(row.hand, row.hand) for row in rows]
    name = "" if exercise.hand == "both" else sides.get(rows[0].hand, "")
    ways = [_way(row) for row in rows]
    turns = len(set(ways)) > 1
    told = [way * (turns and way != before) for before, way in pairwise(["", *ways])]
    return [", ".join(filter(None, [name * (not at), way])) for at, way in enumerate(told)]


def _way(row: _Row) -> str:
    """Either "up" or "down" for a run of fingers, by its first and its last note; else ""."""
    if not KINDS[row.asks].played or len(row.columns) < 3 or _stacked(row):
        return ""
    first, last = (semitone(row.columns[end][0].of[0]) for end in (0, -1))
    return "up" if first < last else "down" if first > last else ""


def _stacked(row: _Row) -> bool:
    return any(len(column) > 1 for column in row.columns)


def _lines(
    exercise: Exercise, shown: Listing[Blank], labels: Sequence[str], room: float, size: float
) -> Iterator[tuple[str, _Line, list[Blank]]]:
    """The lines of an exercise, each with its label and its blanks: one for each row, or more where
    that is wider than ``room``. The first line of fingers has all blanks of their row.
    """
    left = iter(labels)
    for rows in shown.systems:
        mine = [next(left) for _ in rows]
        if not _is_each_alone(rows):
            lines_in_columns = _in_columns(exercise, rows, room, size)
            for at, (number, line, blanks) in enumerate(lines_in_columns):
                yield mine[number] if len(rows) > 1 or not at else "", line, blanks
            continue
        played = KINDS[rows[0].asks].played
        for row, label in zip(rows, mine):
            lines = _fingers(exercise, row, room) if played else _said(row, room)
            for number, line in enumerate(lines):
                yield "" if number else label, line, [] if number else row.blanks


def _is_each_alone(rows: Sequence[_Row]) -> bool:
    """Whether the answers of each row have places of their own, so that none is under another."""
    kind = KINDS[rows[0].asks]
    return len({row.asks for row in rows}) == 1 and (kind.played or bool(kind.usual))


def _shown(stack: Sequence[Blank]) -> str:
    """The answers of a column, low to high."""
    joined = "" if KINDS[stack[0].asks].played else "-"
    if all(blank.given for blank in stack):
        return f"({joined.join(blank.answer for blank in stack)})"
    return joined.join(f"({blank.answer})" if blank.given else blank.answer for blank in stack)


def _groups(exercise: Exercise, row: _Row) -> list[list[str]]:
    """The fingers of a row, in a new group where the thumb passes under or a finger over.

    A row without crossings is grouped by its bars, and chords are groups of their own.
    """
    stacks = [[_shown([blank]) for blank in column] for column in row.columns]
    if _stacked(row):
        return stacks
    blanks = [column[0] for column in row.columns]
    if row.asks == FINGER.name:
        crossed = crossings([b.of[0] for b in blanks], [b.answer for b in blanks], row.hand)
    else:
        crossed = tuple(b.answer if b.answer.isdigit() else "" for b in blanks)
    begins = [bool(finger) for finger in crossed]
    if not any(begins[1:]):
        (staff,) = (staff for staff in exercise.staves if staff.hand == row.hand)
        begins = [False] + [bool(staff.events[a.column].after) for a, _ in pairwise(blanks)]
    found: list[list[str]] = [[]]
    for (digit,), new in zip(stacks, begins):
        if new and found[-1]:
            found.append([])
        found[-1].append(digit)
    return found


def _fingers(exercise: Exercise, row: _Row, room: float) -> Iterator[_Line]:
    """The fingers of a row on an even grid: one line, or more where they do not fit."""
    groups = _groups(exercise, row)
    digits = sum(len(group) for group in groups)
    pitch = LIST_LEAST_DIGIT + (room - _finger_width(groups)) / digits
    pitch = min(max(pitch, LIST_LEAST_DIGIT), LIST_DIGIT)
    line: _Line = []
    x = 0.0
    for group in groups:
        wide = sum(pitch + 2 * _PARENTHESIS * digit.startswith("(") for digit in group)
        if line and x + wide > room + _HAIR:
            yield line
            line, x = [], 0.0
        for digit in group:
            cell = pitch + 2 * _PARENTHESIS * digit.startswith("(")
            middle = x + cell / 2
            line.append(Text(middle, 0.0, digit, "bold", ANSWER, "center"))
            x += cell
        x += LIST_GROUP
    yield line


def _finger_width(groups: Sequence[Sequence[str]]) -> float:
    """The least width of a line of fingers."""
    digits = [digit for group in groups for digit in group]
    helped = sum(digit.startswith("(") for digit in digits)
    gaps = len(groups) - 1
    return LIST_LEAST_DIGIT * len(digits) + 2 * _PARENTHESIS * helped + LIST_GROUP * gaps


def _said(row: _Row, room: float = inf) -> Iterator[_Line]:
    """The answers that are not the usual one, with their places."""
    line: _Line = []
    x = 0.0
    for answer, place in told(row):
        wide = text.width(answer, "bold", ANSWER) + LIST_WORD_SPACE * bool(answer)
        end = x + wide + text.width(place, "regular", WORDS)
        if line and end > room + _HAIR:
            yield line
            line, x = [], 0.0
        if answer:
            line.append(Text(x, 0.0, answer, "bold", ANSWER))
        line.append(Text(x + wide, 0.0, place, "regular", WORDS))
        x = line[-1].x + text.width(place, "regular", WORDS) + LIST_WORD_SPACE
    yield line


def _in_columns(
    exercise: Exercise, rows: Sequence[_Row], room: float, size: float
) -> Iterator[tuple[int, _Line, list[Blank]]]:
    """Rows one below the other in columns: all at once, or some columns at a time. Each line has
    the index of its row, and its blanks.
    """
    cells, columns = _cells(rows)
    places = _spread(rows, room, size)
    parts: list[Sequence[int]] = [columns]
    if not places:
        places, parts = _broken(exercise, rows, columns, room, size)
    for part in parts:
        for number, (row, mine) in enumerate(zip(rows, cells)):
            grammar = KINDS[row.asks].figured
            stacks = [mine[column] for column in part if column in mine]
            line = [
                _cell(_shown(mine[column]), x, size, grammar)
                for x, column in zip(places, part)
                if column in mine
            ]
            if line:
                yield number, line, [blank for stack in stacks for blank in stack]


def _cells(rows: Sequence[_Row]) -> tuple[list[dict[int, tuple[Blank, ...]]], list[int]]:
    """What each row has in its columns, and all columns; rows of one box each share a column."""
    if all(len(row.columns) == 1 for row in rows):
        return [{0: row.columns[0]} for row in rows], [0]
    cells = [{column[0].column: column for column in row.columns} for row in rows]
    return cells, sorted({column for row in cells for column in row})


def _widths(rows: Sequence[_Row], size: float) -> list[float]:
    """The width of each column; an opening parenthesis hangs to the left of it."""
    cells, columns = _cells(rows)
    return [
        max(
            figured.width(
                _shown(mine[column]).removeprefix("("), KINDS[row.asks].figured, "bold", size
            )
            for row, mine in zip(rows, cells)
            if column in mine
        )
        for column in columns
    ]


def _least_gap(rows: Sequence[_Row]) -> float:
    """The least space between two columns: single words stand closer than what has parts."""
    shown = "".join(_shown(column) for row in rows for column in row.columns)
    return LIST_COLUMN_GAP if " " in shown or "(" in shown else LIST_LEAST_GAP


def _spread(rows: Sequence[_Row], room: float, size: float) -> list[float]:
    """The positions of the columns of rows, if they fit on one line, else none.

    Columns are equally wide if they fit that way, and otherwise as wide as necessary. Several
    related rows get a little more room.
    """
    wide = _widths(rows, size)
    pitch = max(wide) + LIST_COLUMN_GAP
    if pitch * len(wide) > room + LIST_COLUMN_GAP + _HAIR:
        return _close_together(rows, wide, room)
    if len(rows) > 1:
        pitch = max(pitch, min(LIST_COLUMN, (room + LIST_COLUMN_GAP) / len(wide)))
    return [pitch * number for number in range(len(wide))]


def _close_together(rows: Sequence[_Row], wide: Sequence[float], room: float) -> list[float]:
    """The positions of columns of these widths on one line, none if it is wider than ``room``."""
    for gap in (LIST_COLUMN_GAP, _least_gap(rows)):
        places = [0.0, *accumulate(width + gap for width in wide[:-1])]
        if places[-1] + wide[-1] <= room + _HAIR:
            return places
    return []


def _broken(
    exercise: Exercise, rows: Sequence[_Row], columns: Sequence[int], room: float, size: float
) -> tuple[list[float], list[Sequence[int]]]:
    """The columns of each line where rows need several, as few as possible, and the positions of
    columns on a line: those of all lines stand under each other.

    The lines end where lines of music would, or else are of one length.
    """
    wide = dict(zip(columns, _widths(rows, size)))
    for count in range(2, len(columns)):
        for parts in _ways_to_break(exercise, columns, count):
            widest = list(map(max, _aligned(parts, wide)))
            places = _close_together(rows, widest, room)
            if places:
                return places, parts
    return [0.0], [[column] for column in columns]


def _ways_to_break(
    exercise: Exercise, columns: Sequence[int], count: int
) -> Iterator[list[Sequence[int]]]:
    """Columns in ``count`` lines: as music is broken, if there is any, and of one length."""
    if exercise.staves:
        ends = ends_between(exercise, columns[0], columns[-1], count)
        places = [bisect_right(columns, end) for end in ends]
        parts = [columns[a:b] for a, b in pairwise([0, *places, len(columns)])]
        if len(parts) == count and all(parts):
            yield parts
    each = -(-len(columns) // count)
    yield [columns[start : start + each] for start in range(0, len(columns), each)]


def _aligned(
    parts: Sequence[Sequence[int]], wide: Mapping[int, float]
) -> Iterator[tuple[float, ...]]:
    """The widths of the first columns of all lines, of the second ones, and so on."""
    return zip_longest(*([wide[column] for column in part] for part in parts), fillvalue=0.0)


def _cell(cell: str, x: float, size: float, grammar: figured.Grammar) -> Text:
    """An answer at ``x``; an opening parenthesis hangs to the left."""
    hang = text.width("(", "bold", size) if cell.startswith("(") else 0.0
    return Text(x - hang, 0.0, cell, "bold", size, grammar=grammar)
