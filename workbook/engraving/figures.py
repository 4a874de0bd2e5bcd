"""Figures drawn without LilyPond: keyboards, the circle of fifths, rows of boxes.

In: a figure. Out: a ``Snippet``, as for engraved music: drawing operators (ISO 32000-1,
8.5), the space of its boxes, and what the student shades. Measures are in points. Black
keys are 0.6 times as wide and 0.63 times as long as white ones and stand where they are on a piano
(from memory, measured on pianos).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import singledispatch
from itertools import pairwise
from math import cos, hypot, inf, pi, sin

from workbook.design import (
    BLACK_LENGTH,
    BLACK_SHIFT,
    BLACK_WIDTH,
    BOX_PAIR,
    BOX_ROWS,
    DEFAULT_HAND,
    FIGURE_GAP,
    GRID_GAP,
    HANDS,
    HATCH,
    LEADER,
    RING,
    RING_BOXES,
    RING_GAP,
    WHITE_LENGTH,
    WHITE_WIDTH,
    Hand,
)
from workbook.engraving.snippet import Rect, Snippet, pack
from workbook.exercises.families import KINDS
from workbook.exercises.figures import Boxes, Circle, Grid, Keyboard
from workbook.exercises.model import Exercise, Slot
from workbook.music.pitch import Pitch, is_black, semitone


def draw(exercise: Exercise, size: str = DEFAULT_HAND, room: float = inf) -> Snippet:
    """The picture of an exercise's figure; ``size`` names the hand that writes in it.

    A grid fills ``room`` points where that can be done.
    """
    figure, hand = exercise.figure, HANDS[size]
    if isinstance(figure, Grid):
        return _grid(exercise, figure, hand, room)
    if isinstance(figure, Boxes):
        return _boxes(figure, *_cell(exercise, figure.asks, hand))
    return _draw(figure, exercise, hand)


@singledispatch
def _draw(figure: object, exercise: Exercise, hand: Hand) -> Snippet:
    raise TypeError(figure, exercise, hand)


def _snippet(
    width: float,
    height: float,
    printed: list[str],
    slots: dict[Slot, Rect],
    written: Sequence[str] = (),
) -> Snippet:
    return Snippet(
        width,
        height,
        0.0,
        0.0,
        pack([line.encode() for line in printed]),
        pack([line.encode() for line in written]) if written else b"",
        slots,
        (),
        ((0.0, height),),
    )


def _rect(x: float, y: float, width: float, height: float, paint: str) -> str:
    return f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re {paint}"


def _dot(x: float, y: float, radius: float, paint: str) -> str:
    """A circle of four Bézier curves, their handles 0.5523 times the radius as usual."""
    k = 0.5523 * radius
    parts = [f"{x + radius:.2f} {y:.2f} m"]
    for (ax, ay), (bx, by) in (
        ((1, 0), (0, 1)),
        ((0, 1), (-1, 0)),
        ((-1, 0), (0, -1)),
        ((0, -1), (1, 0)),
    ):
        parts.append(
            f"{x + radius * ax + k * bx:.2f} {y + radius * ay + k * by:.2f} "
            f"{x + radius * bx + k * ax:.2f} {y + radius * by + k * ay:.2f} "
            f"{x + radius * bx:.2f} {y + radius * by:.2f} c"
        )
    return "\n".join(parts) + f"\n{paint}"


def key_rects(low: Pitch, high: Pitch) -> dict[int, Rect]:
    """The rectangle of each piano key by its semitone, the lowest white key at the origin."""
    rects: dict[int, Rect] = {}
    x = 0.0
    for number in range(semitone(low), semitone(high) + 1):
        if number % 12 in BLACK_SHIFT:
            middle = x + BLACK_SHIFT[number % 12]
            rects[number] = (
                middle - BLACK_WIDTH / 2,
                WHITE_LENGTH - BLACK_LENGTH,
                middle + BLACK_WIDTH / 2,
                WHITE_LENGTH,
            )
        else:
            rects[number] = (x, 0.0, x + WHITE_WIDTH, WHITE_LENGTH)
            x += WHITE_WIDTH
    return rects


def _spread(wanted: list[float], apart: float) -> list[float]:
    """Numbers near the ``wanted`` ones, in the same order and at least ``apart``.

    Those that would be too close to each other are spread evenly about their mean.
    """
    groups: list[tuple[float, int]] = []  # the middle of each group and its size
    for middle in wanted:
        groups.append((middle, 1))
        while len(groups) > 1:
            (low, few), (high, more) = groups[-2:]
            if high - low >= (few + more) / 2 * apart:
                break
            size = few + more
            groups[-2:] = [((low * few + high * more) / size, size)]
    return [
        middle + (index - (size - 1) / 2) * apart
        for middle, size in groups
        for index in range(size)
    ]


def _within(middles: list[float], apart: float, low: float, high: float) -> list[float]:
    """Numbers near the ``middles``, at least ``apart`` and between ``low`` and ``high``."""
    found: list[float] = []
    for middle in middles:
        found.append(max(middle, found[-1] + apart if found else low))
    for index in reversed(range(len(found))):
        after = found[index + 1] - apart if index + 1 < len(found) else high
        found[index] = min(found[index], after)
    return found


@_draw.register
def _(figure: Keyboard, exercise: Exercise, hand: Hand) -> Snippet:
    rects = key_rects(figure.low, figure.high)
    wide = max(r[2] for r in rects.values())
    box_width, box_height = _cell(exercise, "note", hand)
    marked = sorted(figure.marked, key=semitone)
    # as wide as the keyboard at most, so that keyboards stand in one place
    most = (wide - box_width) / max(len(marked) - 1, 1)
    rows = 1 if most >= box_width + BOX_PAIR else 2  # the boxes of two rows take turns
    apart = min((box_width + FIGURE_GAP) / rows, most)
    middles = [(rects[semitone(p)][0] + rects[semitone(p)][2]) / 2 for p in marked]
    boxes = _within(_spread(middles, apart), apart, box_width / 2, wide - box_width / 2)
    lows = [0.5 + (box_height + BOX_ROWS) * row for row in reversed(range(rows))]
    above = lows[0] + box_height + 2
    base = lows[0] - 0.5 + box_height + LEADER + 1 if figure.marked else 1.0
    left = 1.0
    black = {n for n in rects if n % 12 in BLACK_SHIFT}

    def key(number: int, inset: float = 0.0) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = rects[number]
        return (left + x0 + inset, base + y0 + inset, x1 - x0 - 2 * inset, y1 - y0 - 2 * inset)

    printed = ["0 G 0 g 0.8 w"]
    printed += [_rect(*key(n), "S") for n in rects if n not in black]
    # a key to be shaded must show the pencil
    shading = bool(figure.shaded or figure.shown)
    printed += ["1 g"] * shading + [_rect(*key(n), "B" if shading else "f") for n in black]
    printed += _hatched([key(n) for n in black]) if shading else []
    printed += ["0 g"]
    slots: dict[Slot, Rect] = {}
    for column, (p, place) in enumerate(zip(marked, boxes)):
        x, y, width, height = key(semitone(p))
        middle, height = x + width / 2, (y + 7 if is_black(p) else y + 10)
        box, low = left + place - box_width / 2, lows[column % rows]
        if is_black(p):
            printed.append(f"1 G 0.8 w {middle:.2f} {height:.2f} m {middle:.2f} {y:.2f} l S 0 G")
        printed.append(
            f"0.6 w {middle:.2f} {min(height, y):.2f} m {middle:.2f} {base:.2f} l "
            f"{box + box_width / 2:.2f} {above:.2f} l "
            + f"{box + box_width / 2:.2f} {low + box_height + 2:.2f} l " * (low < lows[0])
            + "S"
        )
        if is_black(p):
            printed.append("1 g " + _dot(middle, height, 2.9, "f") + " 0 g")
        else:
            printed.append(_dot(middle, height, 3.4, "f"))
        slots[Slot("note", "right", column)] = (box, low, box + box_width, low + box_height)
    whole = (left, base, left + wide, base + WHITE_LENGTH)
    slots[Slot("keys", "right", 0)] = whole

    def shade(p: Pitch) -> str:
        x, y, width, height = key(semitone(p), 2.0)
        return _rect(
            x,
            y,
            width,
            height if is_black(p) else WHITE_LENGTH - BLACK_LENGTH - 6,
            "f",
        )

    printed += ["0.35 g", *map(shade, figure.shown), "0 g"]
    written = [shade(p) for p in figure.shaded]
    return _snippet(
        left + wide + 1,
        base + WHITE_LENGTH + 1,
        printed,
        slots,
        written if figure.shaded else [],
    )


@_draw.register
def _(figure: Circle, exercise: Exercise, hand: Hand) -> Snippet:
    outer, inner = (_cell(exercise, asks, hand) for asks in (figure.outer, figure.inner))
    angles = [pi / 2 - place * pi / 6 for place in range(12)]
    ring = RING * hand.answer / HANDS["middle"].answer
    while not _stand_clear([_inside(ring - RING_GAP, angle, inner) for angle in angles], inner):
        ring += 1.0
    centres = {
        (figure.outer, place): _outside(ring + RING_GAP, angle, outer)
        for place, angle in enumerate(angles)
    } | {
        (figure.inner, place): _inside(ring - RING_GAP, angle, inner)
        for place, angle in enumerate(angles)
    }
    half_x = max(x for x, _ in centres.values()) + outer[0] / 2 + 1
    half_y = max(y for _, y in centres.values()) + outer[1] / 2 + 1
    printed = ["0 G 0.8 w", _dot(half_x, half_y, ring, "S")]
    printed += [
        _dot(half_x + ring * cos(angle), half_y + ring * sin(angle), 2.0, "f") for angle in angles
    ]
    slots: dict[Slot, Rect] = {}
    for (asks, place), (x, y) in centres.items():
        width, height = outer if asks == figure.outer else inner
        slots[Slot(asks, "right", place)] = (
            half_x + x - width / 2,
            half_y + y - height / 2,
            half_x + x + width / 2,
            half_y + y + height / 2,
        )
    return _snippet(2 * half_x, 2 * half_y, printed, slots)


def _outside(radius: float, angle: float, box: tuple[float, float]) -> tuple[float, float]:
    """The middle of a box outside a circle that its nearest point touches, seen at ``angle``."""

    def near(distance: float) -> float:
        x, y = abs(distance * cos(angle)), abs(distance * sin(angle))
        return hypot(max(x - box[0] / 2, 0.0), max(y - box[1] / 2, 0.0))

    return _placed(radius, angle, near)


def _inside(radius: float, angle: float, box: tuple[float, float]) -> tuple[float, float]:
    """The middle of a box inside a circle that its farthest corner touches."""

    def far(distance: float) -> float:
        x, y = abs(distance * cos(angle)), abs(distance * sin(angle))
        return hypot(x + box[0] / 2, y + box[1] / 2)

    return _placed(radius, angle, far)


def _placed(radius: float, angle: float, reach: Callable[[float], float]) -> tuple[float, float]:
    """The point at ``angle`` whose distance from the origin makes ``reach`` the ``radius``."""
    low, high = 0.0, 2 * radius
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if reach(middle) < radius else (low, middle)
    return low * cos(angle), low * sin(angle)


def _stand_clear(middles: Sequence[tuple[float, float]], box: tuple[float, float]) -> bool:
    """Whether neighbouring boxes with these middles, on a circle, are far enough apart."""
    return all(
        max(abs(x1 - x0) - box[0], abs(y1 - y0) - box[1]) >= RING_BOXES
        for (x0, y0), (x1, y1) in pairwise([*middles, middles[0]])
    )


def _hatched(rects: Sequence[tuple[float, float, float, float]]) -> list[str]:
    """Slanting lines across rectangles (x, y, width, height)."""
    drawn = ["0.4 w"]
    for x, y, width, height in rects:
        drawn.append(f"q {_rect(x, y, width, height, 'W n')}")
        for step in range(1, int((width + height) / HATCH) + 1):
            low = y + step * HATCH
            drawn.append(f"{x:.2f} {low:.2f} m {x + width:.2f} {low - width:.2f} l S")
        drawn.append("Q")
    return drawn


def _boxes(figure: Boxes, width: float, height: float) -> Snippet:
    slots = {
        Slot(figure.asks, "right", column): (
            1 + column * (width + FIGURE_GAP),
            1.0,
            1 + column * (width + FIGURE_GAP) + width,
            1.0 + height,
        )
        for column in range(figure.count)
    }
    return _snippet(figure.count * (width + FIGURE_GAP) - FIGURE_GAP + 2, height + 2, [], slots)


def _cell(exercise: Exercise, asks: str, hand: Hand) -> tuple[float, float]:
    """Width and height of the boxes of a kind in a row or a grid, for one line of words."""
    blanks = [blank for blank in exercise.blanks if blank.asks == asks]
    printed = not exercise.faded and all(blank.given for blank in blanks)
    return hand.width(KINDS[asks].box((b.answer for b in blanks), printed).width), hand.height()


def _grown(exercise: Exercise, asks: str, hand: Hand, width: float) -> float:
    """The height of the boxes of a kind that are ``width`` points wide."""
    kind = KINDS[asks]
    share = width / hand.width(kind.line)
    answers = [blank.answer for blank in exercise.blanks if blank.asks == asks]
    return hand.height(max(len(kind.lines(answer, share)) for answer in answers))


def _grid(exercise: Exercise, figure: Grid, hand: Hand, room: float) -> Snippet:
    """Rows of boxes; where some may stand beside one another, they fill the room."""
    sizes = [_cell(exercise, asks, hand) for asks in figure.kinds]
    wide = sum(width + FIGURE_GAP for width, _ in sizes) - FIGURE_GAP
    across = max(1, int(min(figure.across, (room - 2 + GRID_GAP) / (wide + GRID_GAP))))
    spare = 0.0
    if figure.across > 1 and room < inf:
        spare = max((room - 2 + GRID_GAP) / across - GRID_GAP - wide, 0.0)
    *first, (last, high) = sizes
    # a box for words grows; a square one moves to the end of its column
    grows = last > high
    last += grows * spare
    high = _grown(exercise, figure.kinds[-1], hand, last) if grows else high
    tall = max(high, hand.height())
    lead = tall + FIGURE_GAP
    lines = -(-figure.rows // across)
    slots = {}
    for row in range(figure.rows):
        x = 1.0 + row % across * (wide + spare + GRID_GAP)
        y = 1 + (lines - 1 - row // across) * lead
        for asks, (width, height) in zip(figure.kinds, (*first, (last, high))):
            if asks == figure.kinds[-1] and not grows:
                x += spare
            low = y + (tall - height) / 2
            slots[Slot(asks, "right", row)] = (x, low, x + width, low + height)
            x += width + FIGURE_GAP
    whole = across * (wide + spare + GRID_GAP) - GRID_GAP
    return _snippet(whole + 2, lines * lead - FIGURE_GAP + 2, [], slots)
