"""The page *A student*: skills and keys, weak spots, all sheets; a new name, leaving."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError, Problem
from workbook.inputs.days import today
from workbook.pages.progress import WIDE
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
            levels = studio_progress(studio, day, student.name)[0]
        except InputError as error:
            problems = error.problems
        return page(
            desk,
            "student.html",
            student=student,
            levels=[student_page(one, day) for one in levels],
            problems=problems,
            sheets=all_sheets(studio, student.name),
            wide=WIDE,
        )


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
