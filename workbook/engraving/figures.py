"""Figures drawn without LilyPond: keyboards, the circle of fifths, rows of boxes.

In: a figure. Out: a ``Snippet``, as for engraved music: drawing operators (ISO 32000-1,
8.5), the space of its boxes, and what the student shades. Measures are in points. Black
keys are 0.6 times as wide and 0.63 times as long as white ones and stand where they do on
a piano (from memory, measured on pianos).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import singledispatch
from math import cos, pi, sin

from workbook.engraving.snippet import STAFF_SPACE, Rect, Snippet, pack
from workbook.exercises.families import KINDS
from workbook.exercises.figures import Boxes, Circle, Figure, Grid, Keyboard
from workbook.exercises.model import Slot
from workbook.music.pitch import Pitch, is_black, semitone

_WHITE_WIDTH, _WHITE_LENGTH = 21.0, 92.0
_BLACK_WIDTH, _BLACK_LENGTH = 12.6, 58.0
_BLACK_SHIFT = {1: -1.6, 3: 1.6, 6: -2.2, 8: 0.0, 10: 2.2}
"""Points from the line between two white keys to the middle of a black key, by pitch class."""
_LEADER, _BOX_GAP = 16.0, 9.0
_OUTER, _INNER, _RING = 138.0, 84.0, 111.0


def draw(figure: Figure) -> Snippet:
    """The picture of a figure."""
    return _draw(figure)


@singledispatch
def _draw(figure: object) -> Snippet:
    raise TypeError(figure)


def box_size(asks: str) -> tuple[float, float]:
    """Width and height in points of a box."""
    width, height = KINDS[asks].box()
    return width * STAFF_SPACE, height * STAFF_SPACE


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
        if number % 12 in _BLACK_SHIFT:
            middle = x + _BLACK_SHIFT[number % 12]
            rects[number] = (
                middle - _BLACK_WIDTH / 2,
                _WHITE_LENGTH - _BLACK_LENGTH,
                middle + _BLACK_WIDTH / 2,
                _WHITE_LENGTH,
            )
        else:
            rects[number] = (x, 0.0, x + _WHITE_WIDTH, _WHITE_LENGTH)
            x += _WHITE_WIDTH
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


@_draw.register
def _(figure: Keyboard) -> Snippet:
    rects = key_rects(figure.low, figure.high)
    wide = max(r[2] for r in rects.values())
    box_width, box_height = box_size("note")
    marked = sorted(figure.marked, key=semitone)
    boxes = _spread(
        [(rects[semitone(p)][0] + rects[semitone(p)][2]) / 2 for p in marked], box_width + _BOX_GAP
    )
    base = box_height + _LEADER + 1 if figure.marked else 1.0
    left = 1 + max([0.0] + [box_width / 2 - middle for middle in boxes])
    black = {n for n in rects if n % 12 in _BLACK_SHIFT}

    def key(number: int, inset: float = 0.0) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = rects[number]
        return (left + x0 + inset, base + y0 + inset, x1 - x0 - 2 * inset, y1 - y0 - 2 * inset)

    printed = ["0 G 0 g 0.8 w"]
    printed += [_rect(*key(n), "S") for n in rects if n not in black]
    # a key to be shaded must show the pencil
    shading = bool(figure.shaded or figure.shown)
    paint = "B" if shading else "f"
    printed += ["0.8 g"] * shading + [_rect(*key(n), paint) for n in black] + ["0 g"]
    slots: dict[Slot, Rect] = {}
    for column, (p, place) in enumerate(zip(marked, boxes)):
        x, y, width, height = key(semitone(p))
        middle, height = x + width / 2, (y + 9 if is_black(p) else y + 12)
        box = left + place - box_width / 2
        printed.append(
            f"0.6 w {middle:.2f} {base:.2f} m {box + box_width / 2:.2f} {box_height + 2.5:.2f} l S"
        )
        if is_black(p):
            printed.append("1 g " + _dot(middle, height, 3.6, "f") + " 0 g")
        else:
            printed.append(_dot(middle, height, 4.2, "f"))
        slots[Slot("note", "right", column)] = (box, 0.5, box + box_width, 0.5 + box_height)
    whole = (left, base, left + wide, base + _WHITE_LENGTH)
    slots[Slot("keys", "right", 0)] = whole

    def shade(p: Pitch) -> str:
        x, y, width, height = key(semitone(p), 2.0)
        return _rect(x, y, width, height if is_black(p) else _WHITE_LENGTH - _BLACK_LENGTH - 6, "f")

    printed += ["0.35 g", *map(shade, figure.shown), "0 g"]
    written = [shade(p) for p in figure.shaded]
    right = max([left + wide] + [left + middle + box_width / 2 for middle in boxes])
    return _snippet(
        right + 1, base + _WHITE_LENGTH + 1, printed, slots, written if figure.shaded else []
    )


@_draw.register
def _(figure: Circle) -> Snippet:
    (outer_width, outer_height), (inner_width, inner_height) = (
        box_size(figure.outer),
        box_size(figure.inner),
    )
    half_x, half_y = _OUTER + outer_width / 2 + 1, _OUTER + outer_height / 2 + 1
    printed = ["0 G 0.8 w", _dot(half_x, half_y, _RING, "S")]
    slots: dict[Slot, Rect] = {}
    for place in range(12):
        angle = pi / 2 - place * pi / 6
        for asks, radius, width, height in (
            (figure.outer, _OUTER, outer_width, outer_height),
            (figure.inner, _INNER, inner_width, inner_height),
        ):
            x, y = half_x + radius * cos(angle), half_y + radius * sin(angle)
            slots[Slot(asks, "right", place)] = (
                x - width / 2,
                y - height / 2,
                x + width / 2,
                y + height / 2,
            )
        x, y = half_x + _RING * cos(angle), half_y + _RING * sin(angle)
        printed.append(_dot(x, y, 2.0, "f"))
    return _snippet(2 * half_x, 2 * half_y, printed, slots)


@_draw.register
def _(figure: Boxes) -> Snippet:
    width, height = box_size(figure.asks)
    slots = {
        Slot(figure.asks, "right", column): (
            1 + column * (width + _BOX_GAP),
            1.0,
            1 + column * (width + _BOX_GAP) + width,
            1.0 + height,
        )
        for column in range(figure.count)
    }
    return _snippet(figure.count * (width + _BOX_GAP) - _BOX_GAP + 2, height + 2, [], slots)


@_draw.register
def _(figure: Grid) -> Snippet:
    sizes = [box_size(asks) for asks in figure.kinds]
    lead = max(height for _, height in sizes) + _BOX_GAP
    slots, x = {}, 1.0
    for asks, (width, height) in zip(figure.kinds, sizes):
        for row in range(figure.rows):
            y = 1 + (figure.rows - 1 - row) * lead
            slots[Slot(asks, "right", row)] = (x, y, x + width, y + height)
        x += width + _BOX_GAP
    return _snippet(x - _BOX_GAP + 1, figure.rows * lead - _BOX_GAP + 2, [], slots)
