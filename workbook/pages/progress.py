"""The progress pages: a student's skills and keys, points, weak spots; and the whole studio.

In: plain values. Out: a PDF. Shades and plots are vectors of reportlab.graphics, in greys that
print; text is set in the house's face.

A square is darker the likelier the next box is right. It is empty where nothing was marked, hatched
where the band is wide, and has a white dot where it is safe.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import cos, pi, sin

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Circle, Drawing, Group, Line, Path, Polygon, PolyLine, Rect
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from workbook import design
from workbook.inputs.days import short
from workbook.music.naming import in_words
from workbook.pages.document import aside, empty_canvas, finished
from workbook.pages.elements import DOCUMENT, Start
from workbook.pages.paper import Paper
from workbook.pages.reading import ASIDE, Reading
from workbook.typesetting import text
from workbook.typesetting.lines import Lines

_ABOUT = "How likely the next box is right, for each skill and key"
WIDE = 0.35
"""A band of more than this, from its low to its high end, is wide."""
_LINE, _PAPER = Color(0.3, 0.3, 0.3), Color(1, 1, 1)
_MAJORS = ("C", "G", "D", "A", "E", "B", "F♯", "D♭", "A♭", "E♭", "B♭", "F")
_MINORS = ("A", "E", "B", "F♯", "C♯", "G♯", "E♭", "B♭", "F", "C", "G", "D")
"""The keys by their number of sharps, on the circle clockwise."""


@dataclass(frozen=True)
class Shade:
    """A square of a grid: how likely, how wide the band, whether safe; ``mean`` None if not met."""

    mean: float | None
    width: float = 0.0
    safe: bool = False


@dataclass(frozen=True)
class Grid:
    """Rows and columns with their names, and a shade for each pair."""

    rows: Sequence[str]
    columns: Sequence[str]
    shades: Mapping[tuple[int, int], Shade]


@dataclass(frozen=True)
class StudentPage:
    """What is on a student's page. ``points`` has (week, share of the points or None).

    ``circle`` has a shade by number of sharps (modulo 12) and mode.
    """

    title: str
    under: str
    grid: Grid
    circle: Mapping[tuple[int, str], Shade]
    points: Sequence[tuple[str, float | None]]
    weakest: Sequence[str]
    new_safe: Sequence[str]
    remarks: Sequence[str]


@dataclass(frozen=True)
class StudioPage:
    """What is on the studio's page: a grid of students and skills, and remarks below it."""

    title: str
    under: str
    grid: Grid
    remarks: Sequence[str]


_CONTINUED = "continued"
EXPLAINED = (
    "The darker a square, the likelier the next box is right; hatched: few marks so far; "
    "a white dot: safe; empty: not met yet. On the circle, major keys are outside."
)


def progress_pdf(
    students: Sequence[StudentPage], studio: StudioPage | None, paper: Paper, title: str
) -> bytes:
    """The PDF of the pages, the studio's first."""
    canvas = empty_canvas(paper.whole, title, "workbook", _ABOUT)
    lines = _Told(canvas)
    if studio:
        _studio_page(canvas, lines, studio, paper)
    for page in students:
        _student_page(canvas, lines, page, paper)
    return finished(canvas, lines.reading.structure, drawings=True)


class _Told(Lines):
    """The lines of the pages, and the structure that they belong to."""

    def __init__(self, canvas: Canvas):
        super().__init__(canvas)
        self.reading = Reading()
        self.reading.page()

    def part(self, start: Start) -> None:
        """Begin a part, or continue it; ``end`` ends it."""
        self.begin(self.reading.begin(start))

    def figure(self, drawing: Drawing, canvas: Canvas, x: float, y: float, alt: str) -> None:
        """Draw a figure that is read as ``alt``."""
        canvas.addLiteral(self.reading.begin(Start(DOCUMENT, "Figure", alt=alt)))
        renderPDF.draw(drawing, canvas, x, y)
        canvas.addLiteral("EMC")


def _studio_page(canvas: Canvas, lines: _Told, page: StudioPage, paper: Paper) -> None:
    y = _heading(lines, page.title, page.under, paper)
    rows = list(page.grid.rows)
    most = max(1, int((y - paper.bottom - 60) / 15))
    for start in range(0, max(len(rows), 1), most):
        if start:
            _end(canvas, lines, paper)
            y = _heading(lines, page.title, _CONTINUED, paper)
        part = Grid(
            rows[start : start + most],
            page.grid.columns,
            {
                (row - start, column): shade
                for (row, column), shade in page.grid.shades.items()
                if start <= row < start + most
            },
        )
        y = _grid(canvas, lines, part, paper, y)
    _Flow(canvas, lines, page.title, paper, y - 22).list("", page.remarks)
    _end(canvas, lines, paper)


def _student_page(canvas: Canvas, lines: _Told, page: StudentPage, paper: Paper) -> None:
    y = _heading(lines, page.title, page.under, paper)
    y = _grid(canvas, lines, page.grid, paper, y) - 16
    lists = (("Weakest now", page.weakest), ("Safe since last time", page.new_safe))
    told = [*lists, ("", page.remarks)]
    below = sum(_height(head, words, paper) for head, words in told) + 26
    size = min(y - paper.bottom - below, 150.0)
    if size < 90:  # long lists go overleaf instead
        size = min(y - paper.bottom, 150.0)
    if size < 90:  # a high grid leaves no room: circle and plot go overleaf
        _end(canvas, lines, paper)
        y = _heading(lines, page.title, _CONTINUED, paper)
        size = 150.0
    _circle(canvas, lines, page.circle, paper.left, y - size, size)
    _plot(canvas, lines, page.points, (paper.left + size + 40, y - size), paper, size)
    y -= size + 26
    flow = _Flow(canvas, lines, page.title, paper, y)
    for head, words in told:
        flow.list(head, words)
    _end(canvas, lines, paper)


def _heading(lines: _Told, title: str, under: str, paper: Paper) -> float:
    width = paper.right - paper.left
    again = under == _CONTINUED
    lines.begin(ASIDE) if again else lines.part(Start(DOCUMENT, "H1"))
    lines.draw(paper.left, paper.top - 20, text.shorten(title, "bold", 20, width), "bold", 20)
    lines.end()
    lines.begin(ASIDE) if again else lines.part(Start(DOCUMENT, "P"))
    lines.draw(paper.left, paper.top - 38, text.shorten(under, "regular", 11, width), size=11)
    lines.end()
    y = paper.top - 56
    lines.begin(ASIDE) if again else lines.part(Start(DOCUMENT, "P"))
    for line in text.wrap(EXPLAINED, "italic", 9.5, width):
        lines.draw(paper.left, y, line, "italic", 9.5)
        y -= 12
    lines.end()
    return y - 4


def _end(canvas: Canvas, lines: _Told, paper: Paper) -> None:
    lines.begin(ASIDE)
    lines.draw(
        (paper.left + paper.right) / 2,
        paper.foot,
        f"{canvas.getPageNumber()}",
        size=9,
        align="center",
    )
    lines.end()
    lines.finish()
    canvas.showPage()
    lines.reading.page()


def _grid(canvas: Canvas, lines: _Told, grid: Grid, paper: Paper, y: float) -> float:
    """Draw a grid below ``y``; returns its lower edge."""
    label = min(
        max((text.width(name, size=8.5) for name in grid.rows), default=0.0) + 8,
        (paper.right - paper.left) * 0.42,
    )
    side = min((paper.right - paper.left - label) / max(len(grid.columns), 1), 22.0)
    height = min(side, 14.0)
    names = [text.shorten(name, "regular", 8, design.PROGRESS_HEAD) for name in grid.columns]
    head = max((text.width(name, size=8) for name in names), default=0.0) + 6
    drawing = Drawing(paper.right - paper.left, height * len(grid.rows))
    hatching = Path(strokeColor=_PAPER, strokeWidth=1.1)
    dots = Group()
    for row, name in enumerate(grid.rows):
        at = y - head - height * (row + 1)
        size = max(7.0, min(8.5, 8.5 * (label - 6) / max(text.width(name, size=8.5), 1.0)))
        shown = text.shorten(name, "regular", size, label - 6)
        lines.begin(ASIDE)  # described with the squares
        lines.draw(paper.left, at + height / 2 - 3, shown, size=size)
        lines.end()
        for column in range(len(grid.columns)):
            shade = grid.shades.get((row, column))
            if shade:
                x, low = label + side * column, height * (len(grid.rows) - row - 1)
                fill = _PAPER if shade.mean is None else _grey(shade.mean)
                drawing.add(
                    Rect(x, low, side, height, fillColor=fill, strokeColor=_LINE, strokeWidth=0.4)
                )
                _hatch(hatching, shade, x, low, side, height)
                if shade.mean is not None and shade.safe:
                    middle = x + side / 2, low + height / 2
                    dots.add(Circle(*middle, height / 5, fillColor=_PAPER, strokeColor=None))
    drawing.add(hatching)  # one path for all: many shapes take long
    drawing.add(dots)
    for column, name in enumerate(names):
        _upright(canvas, name, paper.left + label + side * (column + 0.5) + 3, y - head + 3)
    low = y - head - height * len(grid.rows)
    lines.figure(drawing, canvas, paper.left, low, _grid_in_words(grid))
    return low


def _grid_in_words(grid: Grid) -> str:
    """Each row of a grid with what was met in it."""
    rows = []
    for row, name in enumerate(grid.rows):
        met = [
            f"{column} {_in_words(shade)}"
            for place, column in enumerate(grid.columns)
            if (shade := grid.shades.get((row, place))) and shade.mean is not None
        ]
        rows.append(f"{name}: {', '.join(met) or 'not met yet'}.")
    return in_words(" ".join(rows) or "Nothing was met yet.")


def _in_words(shade: Shade) -> str:
    few = ", few marks" * (shade.width > WIDE)
    return f"{100 * (shade.mean or 0.0):.0f} per cent{few}{', safe' * shade.safe}"


def _upright(canvas: Canvas, words: str, x: float, y: float) -> None:
    """Words that run upwards from (x, y)."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(90)
    turned = Lines(canvas)
    with aside(canvas):  # described with the squares
        turned.draw(0, 0, words, size=8)
        turned.finish()
    canvas.restoreState()


def _grey(mean: float) -> Color:
    level = 1 - 0.8 * min(max(mean, 0.0), 1.0) ** 1.5
    return Color(level, level, level)


def _hatch(path: Path, shade: Shade, x: float, y: float, width: float, height: float) -> None:
    """Add the lines of a square whose band is wide."""
    if shade.mean is None or shade.width <= WIDE:
        return
    for step in (height / 3, height / 3 * 2):
        path.moveTo(x + 1, y + step - 1)
        path.lineTo(x + width - 1, y + step + 1)


def _circle(
    canvas: Canvas,
    lines: _Told,
    shades: Mapping[tuple[int, str], Shade],
    left: float,
    low: float,
    size: float,
) -> None:
    """The circle of fifths: major keys in the outer ring, their relatives inside."""
    middle, drawing = size / 2, Drawing(size, size)
    rings = (("major", size / 2 - 14, size / 2 - 40), ("minor", size / 2 - 42, size / 2 - 64))
    for mode, outer, inner in rings:
        for place in range(12):
            shade = shades.get((place, mode))
            fill = _PAPER if shade is None or shade.mean is None else _grey(shade.mean)
            line = _LINE if shade is not None else Color(0.75, 0.75, 0.75)
            corners = _sector(middle, inner, outer, 90 - 30 * place)
            drawing.add(Polygon(corners, fillColor=fill, strokeColor=line, strokeWidth=0.5))
    for place, name in enumerate(_MAJORS):
        angle = (90 - 30 * place) * pi / 180
        x, y = middle + (middle - 6) * cos(angle), middle + (middle - 6) * sin(angle) - 3
        lines.begin(ASIDE)
        lines.draw(left + x, low + y, name, size=8.5, align="center")
        lines.end()
    lines.figure(drawing, canvas, left, low, _circle_in_words(shades))


def _circle_in_words(shades: Mapping[tuple[int, str], Shade]) -> str:
    """The keys of the circle that were met, clockwise, each with how likely it is."""
    rings = []
    for mode, names in (("major", _MAJORS), ("minor", _MINORS)):
        met = [
            f"{names[place]} {mode} {_in_words(shade)}"
            for place in range(12)
            if (shade := shades.get((place, mode))) and shade.mean is not None
        ]
        rings.append(f"{mode.capitalize()} keys: {', '.join(met) or 'none met yet'}.")
    return in_words(f"Circle of fifths. {' '.join(rings)}")


def _sector(middle: float, inner: float, outer: float, angle: float) -> list[float]:
    """The corners of a twelfth of a ring around ``angle`` (degrees), its arcs in short lines."""
    corners: list[float] = []
    turns = [angle - 14 + 4 * step for step in range(8)]
    for radius, order in ((outer, turns), (inner, turns[::-1])):
        for turn in order:
            corners += [
                middle + radius * cos(turn * pi / 180),
                middle + radius * sin(turn * pi / 180),
            ]
    return corners


def _plot(
    canvas: Canvas,
    lines: _Told,
    points: Sequence[tuple[str, float | None]],
    corner: tuple[float, float],
    paper: Paper,
    height: float,
) -> None:
    """The share of the points, week by week."""
    left, low = corner
    width = paper.right - left - 6
    drawing = Drawing(width, height)
    top = height - 18
    lines.part(Start(DOCUMENT, "H2"))
    lines.draw(left, low + height - 8, "Points week by week, in per cent", "bold", 9.5)
    lines.end()
    for share in (0, 0.25, 0.5, 0.75, 1):
        height_at = 14 + (top - 22) * share
        drawing.add(
            Line(22, height_at, width, height_at, strokeColor=Color(0.8, 0.8, 0.8), strokeWidth=0.4)
        )
        lines.begin(ASIDE)
        lines.draw(left + 18, low + height_at - 3, f"{100 * share:.0f}", size=8, align="right")
        lines.end()
    step = (width - 36) / max(len(points) - 1, 1)
    marked: list[float] = []
    for place, (week, value) in enumerate(points):
        x = 28 + step * place
        if len(points) < 9 or place % -(-len(points) // 8) == 0:
            lines.begin(ASIDE)
            lines.draw(left + x, low + 2, _day(week), size=7.5, align="center")
            lines.end()
        if value is not None:
            y = 14 + (top - 22) * value
            marked += [x, y]
            drawing.add(Circle(x, y, 2.2, fillColor=_LINE, strokeColor=None))
    if len(marked) > 2:
        drawing.add(PolyLine(marked, strokeColor=_LINE, strokeWidth=1))
    told = [
        f"{_day(week)} {100 * value:.0f} per cent" for week, value in points if value is not None
    ]
    alt = f"Points week by week: {', '.join(told) or 'none yet'}."
    lines.figure(drawing, canvas, left, low, alt)


def _day(week: str) -> str:
    """The day of a week's lesson as a plot has it: ``12 Jan``."""
    return short(date.fromisoformat(week)) if week else ""


def _height(head: str, told: Sequence[str], paper: Paper) -> float:
    """The height that a list takes."""
    wide = paper.right - paper.left
    count = sum(len(list(text.wrap(one, "regular", 10, wide))) for one in told)
    return 13.0 * count + (15 if head and told else 0) + 6 * bool(told)


class _Flow:
    """Lists below the drawings; they continue on the next page if there is no room."""

    def __init__(self, canvas: Canvas, lines: _Told, title: str, paper: Paper, y: float):
        self._canvas, self._lines, self._title, self._paper = canvas, lines, title, paper
        self._y = y

    def list(self, head: str, told: Sequence[str]) -> None:
        """A heading and its list; nothing if the list is empty."""
        paper = self._paper
        if head and told:
            self._room(30)
            self._lines.part(Start(DOCUMENT, "H2"))
            self._lines.draw(paper.left, self._y, head, "bold", 11)
            self._lines.end()
            self._y -= 15
        for one in told:
            start = Start(DOCUMENT, "P")
            for line in text.wrap(one, "regular", 10, paper.right - paper.left):
                self._room(13)
                self._lines.part(start)
                self._lines.draw(paper.left, self._y, line, size=10)
                self._lines.end()
                self._y -= 13
        self._y -= 6 * bool(told)

    def _room(self, height: float) -> None:
        if self._y - height < self._paper.bottom - 13:
            _end(self._canvas, self._lines, self._paper)
            self._y = _heading(self._lines, self._title, _CONTINUED, self._paper) - 10
