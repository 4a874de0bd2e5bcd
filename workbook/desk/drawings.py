"""Where the parts of a drawing are: the circle of fifths, points week by week.

In: shades and shares. Out: values for the SVG of the pages; the words in it carry the meaning, so
that nothing depends on colour.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR, Key
from workbook.music.naming import Naming
from workbook.pages.progress import Shade

CIRCLE = 340
"""The side of the circle's square, in the units of its drawing."""
_RINGS = {"major": (168.0, 118.0), "minor": (116.0, 66.0)}
PLOT_HEIGHT = 170
_FOOT, _HEAD, _STEP = 32, 24, 46


@dataclass(frozen=True)
class Sector:
    """A key on the circle: its outline, where its text is, and its shade.

    ``shade`` is None for a key that the level does not have.
    """

    name: str
    outline: str
    x: float
    y: float
    shade: Shade | None


@dataclass(frozen=True)
class Point:
    """A sheet in the plot: its week, its points in per cent or None, and its place."""

    week: str
    share: int | None
    x: float
    y: float


def circle(
    shades: Mapping[tuple[int, str], Shade], names: Mapping[tuple[int, str], str]
) -> list[Sector]:
    """The 24 sectors, clockwise from C major, the major keys outside."""
    found = []
    for mode, (outer, inner) in _RINGS.items():
        for place in range(12):
            angle = (30 * place - 90) * pi / 180
            x, y = _at((outer + inner) / 2, angle)
            found.append(
                Sector(
                    names[place, mode],
                    _outline(outer, inner, angle),
                    round(x, 1),
                    round(y, 1),
                    shades.get((place, mode)),
                )
            )
    return found


def key_names(keys: Sequence[Key], naming: Naming) -> dict[tuple[int, str], str]:
    """The name of each place on the circle: that of one of ``keys``, or the usual one."""
    usual = {(key.fifths % 12, key.mode): key for key in (*TWELVE_MAJOR, *TWELVE_MINOR)}
    usual |= {(key.fifths % 12, key.mode): key for key in keys}
    return {
        place: naming.note(key.tonic_in(4)) + (" min" if key.minor else "")
        for place, key in usual.items()
    }


def plot(points: Sequence[tuple[str, float | None]]) -> list[Point]:
    """The points of the plot, from left to right, 100 at its top."""
    room = PLOT_HEIGHT - _FOOT - _HEAD
    return [
        Point(
            week,
            None if share is None else round(100 * share),
            60 + _STEP * place,
            _HEAD + room * (1 - (share or 0)),
        )
        for place, (week, share) in enumerate(points)
    ]


def plot_width(points: Sequence[Point]) -> int:
    """The width of a plot, in the units of its drawing."""
    return 90 + _STEP * max(len(points), 3)


def plot_lines() -> list[tuple[int, float]]:
    """The lines of the plot: per cent, and how far down."""
    room = PLOT_HEIGHT - _FOOT - _HEAD
    return [(share, _HEAD + room * (1 - share / 100)) for share in (0, 50, 100)]


def _at(radius: float, angle: float) -> tuple[float, float]:
    return CIRCLE / 2 + radius * cos(angle), CIRCLE / 2 + radius * sin(angle)


def _outline(outer: float, inner: float, angle: float) -> str:
    half = 14.4 * pi / 180
    a, b = _at(outer, angle - half), _at(outer, angle + half)
    c, d = _at(inner, angle + half), _at(inner, angle - half)
    return (
        f"M{a[0]:.1f} {a[1]:.1f}A{outer:g} {outer:g} 0 0 1 {b[0]:.1f} {b[1]:.1f}"
        f"L{c[0]:.1f} {c[1]:.1f}A{inner:g} {inner:g} 0 0 0 {d[0]:.1f} {d[1]:.1f}Z"
    )
