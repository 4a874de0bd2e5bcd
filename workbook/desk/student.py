"""The page *A student*: skills and keys, weak spots, all sheets; a new name, leaving."""

from __future__ import annotations

from datetime import date
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk import drawings
from workbook.desk.desk import Desk, page
from workbook.desk.views import squares
from workbook.errors import InputError, Problem
from workbook.inputs.days import today
from workbook.music.keys import parse_key
from workbook.studio_record.model import Student
from workbook.weeks.progress import Progress, studio_progress
from workbook.weeks.progress_pages import student_page, student_pages
from workbook.weeks.students import leave, rename
from workbook.weeks.studios import OpenStudio, opened
from workbook.weeks.this_week import all_sheets


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """One student. With a faulty roster, the problems and the sheets."""
    day = today()
    with opened(desk.folder) as studio:
        student = _student(studio, request)
        levels: list[Progress] = []
        problems: tuple[Problem, ...] = ()
        try:
            levels = studio_progress(studio, day, student.name)
        except InputError as error:
            problems = error.problems
        return page(
            desk,
            "student.html",
            student=student,
            levels=[_level(one, day) for one in levels],
            problems=problems,
            sheets=all_sheets(studio, student.name),
            side=drawings.CIRCLE,
            height=drawings.PLOT_HEIGHT,
            lines=drawings.plot_lines(),
        )


def _level(one: Progress, day: date) -> dict[str, Any]:
    """A level as its page shows it."""
    drawn = student_page(one, day)
    names = drawings.key_names([parse_key(key) for key in one.keys if key], one.naming)
    points = drawings.plot(drawn.points)
    return {
        "under": drawn.under,
        "title": one.level,
        "skills": drawn.grid.rows,
        "columns": drawn.grid.columns,
        "squares": squares(one),
        "circle": drawings.circle(drawn.circle, names),
        "points": points,
        "width": drawings.plot_width(points),
        "weakest": drawn.weakest,
        "new_safe": drawn.new_safe,
        "remarks": drawn.remarks,
    }


def change(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """Rename a student, or note that one left or is back."""
    with opened(desk.folder) as studio:
        student = _student(studio, request)
        match fields.get("do"):
            case "rename":
                rename(studio, student.name, fields.get("name", ""))
            case "leave" | "back" as what:
                leave(studio, student.name, back=what == "back")
            case _:
                raise HTTPException(400, "There is no such button.")
    desk.copies.soon()
    return RedirectResponse(f"/student/{student.id}", 303)


def pdf(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The progress page as a PDF."""
    with opened(desk.folder) as studio:
        data = student_pages(studio, _student(studio, request).name, today())
    return Response(data, media_type="application/pdf")


def _student(studio: OpenStudio, request: Request) -> Student:
    number = request.path_params["id"]
    found = next((one for one in studio.record.students() if one.id == number), None)
    if found is None:
        raise HTTPException(404)
    return found
