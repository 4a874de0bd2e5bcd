"""One exercise in the list of answers: its number, a line for each row of boxes, alternatives.

In: an exercise with the places of its blanks. Out: a block of elements for a column. Fingers
stand on an even grid, in groups as the hand moves; other answers stand in columns, so that a
numeral stands under its chord. What is filled in as help stands in parentheses. Where rows take
turns, so that boxes are listed in another order than they are counted, the label of a line says
which boxes it has.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from workbook import design
from workbook.design import (
    LIST_AFTER_LABEL,
    LIST_ANSWERS,
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
from workbook.exercises.answers import FINGER
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.model import Blank, Exercise, Place
from workbook.fingering.reasons import crossings
from workbook.marking.accepted import box_rows
from workbook.marking.answer_rows import AnswerRow, Key, Part, Placed, named, parts, told
from workbook.music.pitch import semitone
from workbook.pages.elements import Element, Group, Start, Text
from workbook.planning.plan import Item
from workbook.typesetting import figured, text

_ANSWER, _WORDS, _QUIET = design.HEADING, design.TEXT, design.QUIET
"""Font sizes: of answers; of those that are too wide for that, and of what is said in words; of
labels and alternatives."""
_SIDES = {"hand": {"right": "right", "left": "left"}, "clef": {"right": "treble", "left": "bass"}}

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


def item_block(item: Item, shape: Shape, width: float, answers: Group, size: float) -> AnswerBlock:
    """An exercise with blanks in ``shape``, in a column ``width`` points wide: an entry of the
    list ``answers``. Chords, numerals and words are of ``size``, or of the one that fits.
    """
    made = item.exercise.once(_block, width, shape, size)
    number = Text(0.0, -LIST_BASELINE, f"{item.number}", "regular", _WORDS)
    entry = Group("LI", answers)
    return replace(
        made, elements=(Start(entry, "Lbl"), number, Start(entry, "LBody"), *made.elements)
    )


def fitting_size(item: Item, shape: Shape, width: float) -> float:
    """The size at which the longest line of an exercise fits."""
    return item.exercise.once(_fitting_size, width, shape)


Shape = bytes
"""Of each blank four numbers (``_NUMBERS``): its index in the exercise, and its page and its lower
and upper edge, in hundredths of a point, seen from the first one."""
_NUMBERS = "i"


def shape_of(exercise: Exercise, placed: Sequence[Placed[Blank]]) -> Shape:
    """The relative positions of blanks: the same on the sheets of all who share the exercise."""
    indices = exercise.once(_indices)
    page, low = placed[0].page, placed[0].rect[1]
    numbers = [
        number
        for blank, at, (_, bottom, _, top) in placed
        for number in (
            indices[blank[:4]],
            at - page,
            round(100 * (bottom - low)),
            round(100 * (top - low)),
        )
    ]
    return array(_NUMBERS, numbers).tobytes()


def _indices(exercise: Exercise) -> dict[Place, int]:
    return {blank[:4]: index for index, blank in enumerate(exercise.blanks)}


def _laid(
    exercise: Exercise, shape: Shape, width: float
) -> tuple[list[Part[Blank]], list[list[str]], float]:
    """The parts of an exercise, the labels of the rows of each, and where their answers begin."""
    left = iter(array(_NUMBERS, shape))
    placed = [
        Placed(exercise.blanks[index], page, (0.0, low / 100, 0.0, high / 100))
        for index, page, low, high in zip(left, left, left, left)
    ]
    asked = box_rows(exercise.asked)
    found = parts(placed, asked, exercise.figure is None)
    labels = [_labels(exercise, part, list(asked)) for part in found]
    inset = _inset(label for some in labels for label in some)
    if _take_turns(found, width - inset):
        last = len(exercise.asked)
        # an opening parenthesis hangs to the left of the answers
        inset = _inset(f"{label} {last}–{last}(" for some in labels for label in some)
    return found, labels, inset


def _inset(labels: Iterable[str]) -> float:
    widest = max(text.width(label, "regular", _QUIET) for label in labels)
    return max(LIST_ANSWERS, LIST_LABEL + widest + LIST_AFTER_LABEL)


def _take_turns(found: Sequence[Part[Blank]], room: float) -> bool:
    """Whether rows of several kinds need more than a line each."""
    return any(
        len({row.asks for rows in part.systems for row in rows}) > 1
        and (
            len(part.systems) > 1
            or len(_spread(part.systems[0], room, _ANSWER)[1]) < len(_cells(part.systems[0])[1])
        )
        for part in found
    )


def _fitting_size(exercise: Exercise, width: float, shape: Shape) -> float:
    found, _, inset = exercise.once(_laid, shape, width)
    systems = [
        rows
        for part in found
        for rows in part.systems
        if len(rows) > 1 or not (KINDS[rows[0].asks].played or KINDS[rows[0].asks].usual)
    ]
    return min((_spread(rows, width - inset, _ANSWER)[0] for rows in systems), default=_ANSWER)


def _block(exercise: Exercise, width: float, shape: Shape, size: float) -> AnswerBlock:
    """The exercise without its number."""
    found, labels, inset = exercise.once(_laid, shape, width)
    counted = {blank[:4]: number for number, blank in enumerate(exercise.asked, 1)}
    elements: list[Element] = []
    y, before = 0.0, 0
    for part, names in zip(found, labels):
        for label, line, blanks in _part(exercise, part, names, width - inset, size):
            boxes = [counted[blank[:4]] for blank in blanks if blank[:4] in counted]
            told = " ".join(filter(None, [label, _told_boxes(boxes, before)]))
            before = boxes[-1] if boxes else before
            base = y - LIST_BASELINE
            if told:
                elements.append(Text(LIST_LABEL, base, told, "regular", _QUIET))
            elements += [one._replace(x=inset + one.x, y=base) for one in line]
            y -= LIST_LEADING
        notes = [
            line
            for note in part.notes
            for line in text.wrap(note, "regular", _QUIET, width - inset)
        ]
        for note in notes:
            drawn = Text(inset, y - LIST_NOTE_BASELINE, note, "regular", _QUIET, grammar="words")
            elements.append(drawn)
            y -= LIST_NOTE_LEADING
        y -= (LIST_NOTE_BASELINE + LIST_BELOW_NOTE - LIST_NOTE_LEADING) * bool(notes)
    exercise.forget(_laid, shape, width)
    return AnswerBlock(tuple(elements), -y)


def _told_boxes(boxes: Sequence[int], before: int) -> str:
    """The first and the last of the ``boxes`` of a line, unless they follow the one ``before``."""
    if not boxes or boxes[0] == before + 1:
        return ""
    return f"{boxes[0]}–{boxes[-1]}" if len(boxes) > 1 else f"{boxes[0]}"


def _labels(exercise: Exercise, part: Part[Blank], keys: Sequence[Key]) -> list[str]:
    """The labels of the rows of a part, system by system.

    A row that continues is named once; if it turns, ``"right, up"`` is followed by ``"down"``.
    """
    rows = [row for system in part.systems for row in system]
    if len({row.asks for row in rows}) > 1:
        return [named(row.key, keys) for row in rows]
    ways = [_way(row) for row in rows]
    found, before = [], ""
    for number, way in enumerate(ways):
        told = way * (way != before and len(set(ways)) > 1)
        found.append(", ".join(filter(None, [_name(exercise, rows[0], keys) * (not number), told])))
        before = way
    return found


def _name(exercise: Exercise, row: _Row, keys: Sequence[Key]) -> str:
    """What a row asks, or the hand that plays it or the clef that it is read in."""
    if len({asks for asks, _ in keys}) > 1:
        return named(row.key, keys)
    sides = _SIDES.get(FAMILIES[exercise.family].by, {})
    whole = exercise.hand == "both" and len(keys) == 1
    return "" if whole else sides.get(row.hand, "")


def _way(row: _Row) -> str:
    """Either "up" or "down" for a run of fingers, by its first and its last note; else ""."""
    if not KINDS[row.asks].played or len(row.columns) < 3 or _stacked(row):
        return ""
    first, last = (semitone(row.columns[end][0].of[0]) for end in (0, -1))
    return "up" if first < last else "down" if first > last else ""


def _stacked(row: _Row) -> bool:
    return any(len(column) > 1 for column in row.columns)


def _part(
    exercise: Exercise, part: Part[Blank], labels: Sequence[str], room: float, size: float
) -> Iterator[tuple[str, _Line, list[Blank]]]:
    """The lines of a part, each with its label and its blanks; the first line of a single row has
    all of these.
    """
    left = iter(labels)
    for rows in part.systems:
        mine = [next(left) for _ in rows]
        if len(rows) > 1:
            for number, line, blanks in _in_columns(rows, room, size):
                yield mine[number], line, blanks
            continue
        blanks = [blank for column in rows[0].columns for blank in column]
        for number, line in enumerate(_row_lines(exercise, rows[0], room, size)):
            yield "" if number else mine[0], line, [] if number else blanks


def _row_lines(exercise: Exercise, row: _Row, room: float, size: float) -> Iterator[_Line]:
    kind = KINDS[row.asks]
    if kind.played:
        return _fingers(exercise, row, room)
    if kind.usual:
        return _places(row, room)
    return (line for _, line, _ in _in_columns([row], room, size))


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
    gaps = (len(groups) - 1) * LIST_GROUP
    given = 2 * text.width("(", "bold", _ANSWER)
    digits = sum(len(group) for group in groups)
    helped = sum(digit.startswith("(") for group in groups for digit in group)
    pitch = min(max((room - gaps - given * helped) / digits, LIST_LEAST_DIGIT), LIST_DIGIT)
    line: _Line = []
    x = 0.0
    for group in groups:
        wide = sum(pitch + given * digit.startswith("(") for digit in group)
        if line and x + wide > room + 0.01:
            yield line
            line, x = [], 0.0
        for digit in group:
            cell = pitch + given * digit.startswith("(")
            middle = x + cell / 2
            line.append(Text(middle, 0.0, digit, "bold", _ANSWER, "center"))
            x += cell
        x += LIST_GROUP
    yield line


def _places(row: _Row, room: float) -> Iterator[_Line]:
    """The answers that are not the usual one, with their places."""
    line: _Line = []
    x = 0.0
    for answer, place in told(row):
        wide = text.width(answer, "bold", _ANSWER) + LIST_WORD_SPACE * bool(answer)
        end = x + wide + text.width(place, "regular", _WORDS)
        if line and end > room:
            yield line
            line, x = [], 0.0
        if answer:
            line.append(Text(x, 0.0, answer, "bold", _ANSWER))
        line.append(Text(x + wide, 0.0, place, "regular", _WORDS))
        x = line[-1].x + text.width(place, "regular", _WORDS) + LIST_WORD_SPACE
    yield line


def _in_columns(
    rows: Sequence[_Row], room: float, size: float
) -> Iterator[tuple[int, _Line, list[Blank]]]:
    """Rows one below the other in columns: all at once, or some columns at a time. Each line has
    the index of its row, and its blanks.
    """
    cells, columns = _cells(rows)
    size, places = _spread(rows, room, size)
    for start in range(0, len(columns), len(places)):
        part = columns[start : start + len(places)]
        for number, (row, mine) in enumerate(zip(rows, cells)):
            grammar = KINDS[row.asks].figured
            stacks = [mine[column] for column in part if column in mine]
            line = [
                _cell(_shown(mine[column]), x, _ANSWER if grammar == "figures" else size, grammar)
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


def _spread(rows: Sequence[_Row], room: float, most: float) -> tuple[float, list[float]]:
    """The font size, ``most`` or less, and the positions of the columns on one line.

    Columns are equally wide if they fit that way, and otherwise as wide as necessary; single words
    stand closer before they need a second line. Several related rows get a little more room.
    """
    cells, columns = _cells(rows)

    def widths(size: float) -> list[float]:
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

    several = len(rows) > 1
    for size in (_ANSWER, _WORDS) if most == _ANSWER else (_WORDS,):
        wide = widths(size)
        pitch = max(wide) + LIST_COLUMN_GAP
        if pitch * len(wide) <= room + LIST_COLUMN_GAP:
            if several:
                pitch = max(pitch, min(LIST_COLUMN, (room + LIST_COLUMN_GAP) / len(wide)))
            return size, [pitch * number for number in range(len(wide))]
        if sum(wide) + LIST_COLUMN_GAP * (len(wide) - 1) <= room:
            return size, [0.0, *accumulate(width + LIST_COLUMN_GAP for width in wide[:-1])]
    shown = "".join(_shown(column) for mine in cells for column in mine.values())
    if " " not in shown and "(" not in shown:
        places = [0.0, *accumulate(width + LIST_LEAST_GAP for width in wide[:-1])]
        if places[-1] + wide[-1] <= room:
            return size, places
    lines = -(-len(wide) // max(int((room + LIST_COLUMN_GAP) / pitch), 1))
    each = -(-len(wide) // lines)
    if several:
        pitch = max(pitch, min(LIST_COLUMN, (room + LIST_COLUMN_GAP) / each))
    return size, [pitch * number for number in range(each)]


def _cell(cell: str, x: float, size: float, grammar: figured.Grammar) -> Text:
    """An answer at ``x``; an opening parenthesis hangs to the left."""
    hang = text.width("(", "bold", size) if cell.startswith("(") else 0.0
    return Text(x - hang, 0.0, cell, "bold", size, grammar=grammar)
