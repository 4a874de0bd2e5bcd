"""The term chart: weeks and keys until the exam, to hang on a wall.

In: plain values. Out: a PDF in landscape format. A number says how many skills are new in a key in
that week: on grey if they were met, on white if they are planned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from workbook.design import (
    PAPERS,
    TABLE_MARGIN,
    TABLES_ON,
    TERM_FOOT,
    TERM_HEIGHT,
    TERM_LABEL,
    TERM_WIDTH,
)
from workbook.pages.document import aside, empty_canvas, finished
from workbook.pages.elements import DOCUMENT, Group, Start, table_row
from workbook.pages.reading import Reading
from workbook.typesetting import text
from workbook.typesetting.lines import Lines

_ABOUT = "What is new in which week until the exam"
_LINE, _MET, _PAPER = Color(0.45, 0.45, 0.45), Color(0.8, 0.8, 0.8), Color(1, 1, 1)
EXPLAINED = (
    "A number says how many skills are new in a key that week: on grey they were met, on white "
    "they are planned."
)


@dataclass(frozen=True)
class ChartWeek:
    """A row of the chart: its label, a remark such as "no lesson", and numbers by column."""

    label: str
    remark: str
    past: bool
    numbers: Mapping[int, int]


@dataclass(frozen=True)
class Chart:
    """The chart of a student."""

    title: str
    under: str
    columns: Sequence[str]
    weeks: Sequence[ChartWeek]
    sentences: Sequence[str]


def chart_pdf(charts: Sequence[Chart], paper: str, title: str) -> bytes:
    """The PDF of charts, a page each, on landscape ``paper``, or on the next larger paper."""
    height, width = PAPERS[TABLES_ON.get(paper, paper)]
    canvas = empty_canvas((width, height), title, "workbook", _ABOUT)
    lines, reading = Lines(canvas), Reading()
    for chart in charts:
        _page(canvas, lines, chart, width, height, reading)
    return finished(canvas, reading.structure, drawings=True)


def _page(
    canvas: Canvas, lines: Lines, chart: Chart, width: float, height: float, reading: Reading
) -> None:
    room, y = width - 2 * TABLE_MARGIN, height - TABLE_MARGIN
    reading.page()
    lines.begin(reading.begin(Start(DOCUMENT, "H1")))
    lines.draw(TABLE_MARGIN, y - 16, text.shorten(chart.title, "bold", 18, room), "bold", 18)
    lines.end()
    lines.begin(reading.begin(Start(DOCUMENT, "P")))
    lines.draw(TABLE_MARGIN, y - 33, text.shorten(chart.under, "regular", 11, room), size=11)
    lines.end()
    y -= 48
    for words, face in ((EXPLAINED, "italic"), *((one, "regular") for one in chart.sentences)):
        lines.begin(reading.begin(Start(DOCUMENT, "P")))
        for line in text.wrap(words, face, 10, room):
            lines.draw(TABLE_MARGIN, y, line, face, 10)
            y -= 13
        lines.end()
    low = TERM_FOOT + 8
    head = max((text.width(name, size=8.5) for name in chart.columns), default=0.0) + 8
    across = min((room - TERM_LABEL) / max(len(chart.columns), 1), TERM_WIDTH)
    down = min((y - head - low) / max(len(chart.weeks), 1), TERM_HEIGHT)
    top = y - head
    table = Group("Table", DOCUMENT)
    _names(canvas, chart.columns, across, top, reading, table_row(table))
    drawing = Drawing(room, down * len(chart.weeks))
    for row, week in enumerate(chart.weeks):
        at = top - down * (row + 1)
        middle = at + down / 2 - 3
        face = "regular" if week.past else "bold"
        cells = table_row(table)
        lines.begin(reading.begin(Start(cells, "TH", "Row")))
        lines.draw(TABLE_MARGIN, middle, week.label, face, 9)
        if week.remark:
            lines.draw(TABLE_MARGIN + TERM_LABEL + 6, middle, week.remark, "italic", 9)
        lines.end()
        for column in range(len(chart.columns)):
            number = week.numbers.get(column, 0)
            fill = _MET if number and week.past else _PAPER
            x = TERM_LABEL + across * column
            shape = Rect(x, down * (len(chart.weeks) - row - 1), across, down)
            shape.fillColor, shape.strokeColor, shape.strokeWidth = fill, _LINE, 0.4
            drawing.add(shape)
            told = f"{number} {'met' if week.past else 'planned'}" * bool(number)
            cell = Start(cells, "TD", alt=told)
            if number:
                place = TABLE_MARGIN + x + across / 2
                lines.begin(reading.begin(cell))
                lines.draw(place, middle, str(number), face, 10, "center")
                lines.end()
            else:
                reading.part(cell)
    with aside(canvas):
        renderPDF.draw(drawing, canvas, TABLE_MARGIN, top - down * len(chart.weeks))
    lines.finish()
    canvas.showPage()


def _names(
    canvas: Canvas,
    names: Sequence[str],
    across: float,
    low: float,
    reading: Reading,
    cells: Group,
) -> None:
    """The names of the columns, running upwards; a row of headings with one for the weeks."""
    reading.part(Start(cells, "TH", "Column", "Week"))
    for column, name in enumerate(names):
        canvas.saveState()
        canvas.translate(TABLE_MARGIN + TERM_LABEL + across * (column + 0.5) + 3, low + 4)
        canvas.rotate(90)
        turned = Lines(canvas)
        turned.begin(reading.begin(Start(cells, "TH", "Column")))
        turned.draw(0, 0, name, size=8.5)
        turned.end()
        turned.finish()
        canvas.restoreState()
