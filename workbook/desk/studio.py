"""The page *The studio*: students and skills at a glance, and who owes what."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from workbook.desk.desk import Desk, page
from workbook.desk.views import Square
from workbook.errors import InputError, Problem
from workbook.inputs.days import today
from workbook.pages.progress import Shade, StudioPage
from workbook.studio_record.model import Sheet
from workbook.weeks.progress import Progress, studio_progress
from workbook.weeks.progress_pages import studio_page, write_progress
from workbook.weeks.studios import OpenStudio, opened


@dataclass(frozen=True)
class Line:
    """A row of the page: a student and what the student owes or has to be marked.

    ``id`` is that of the record, None before the first sheet.
    """

    student: str
    id: int | None
    level: str
    owed: tuple[Sheet, ...]
    unmarked: tuple[Sheet, ...]


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """All students. With a faulty roster, its problems."""
    day = today()
    lines: list[Line] = []
    drawn: StudioPage | None = None
    problems: tuple[Problem, ...] = ()
    with opened(desk.folder) as studio:
        try:
            found = studio_progress(studio, day)
            drawn, lines = studio_page(studio, found, day), _lines(studio, found)
        except InputError as error:
            problems = error.problems
    return page(
        desk,
        "studio.html",
        lines=lines,
        families=drawn.grid.columns if drawn else (),
        squares=_squares(drawn) if drawn else [],
        said=drawn.remarks[-1:] if drawn else (),
        problems=problems,
    )


def pdf(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The studio's progress page as a PDF, made as ``workbook progress`` makes it."""
    with opened(desk.folder) as studio:
        data = write_progress(studio, today())[0].read_bytes()
    return Response(data, media_type="application/pdf")


def _lines(studio: OpenStudio, found: list[Progress]) -> list[Line]:
    ids = {student.name: student.id for student in studio.record.students()}
    sheets = {sheet.code: sheet for sheet in studio.record.sheets()}

    def named(codes: tuple[str, ...]) -> tuple[Sheet, ...]:
        return tuple(sheets[code] for code in codes)

    return [
        Line(one.student, ids.get(one.student), one.level, named(one.owed), named(one.unmarked))
        for one in found
    ]


def _squares(drawn: StudioPage) -> list[list[Square | None]]:
    rows, columns = range(len(drawn.grid.rows)), range(len(drawn.grid.columns))
    return [[_square(drawn.grid.shades.get((row, at))) for at in columns] for row in rows]


def _square(shade: Shade | None) -> Square | None:
    if shade is None:
        return None
    if shade.mean is None:
        return Square(None)
    return Square(round(100 * shade.mean), safe=shade.safe)
