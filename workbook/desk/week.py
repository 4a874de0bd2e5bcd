"""The page *This week*, its PDFs, and builds."""

from __future__ import annotations

from datetime import date

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from workbook.desk import first_visit
from workbook.desk.builds import NEXT, WHOLE
from workbook.desk.desk import Desk, page
from workbook.inputs.days import today
from workbook.weeks.studios import opened
from workbook.weeks.this_week import KINDS, sheet_file, this_week, week_file


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The students in the order of the roster, with their sheets."""
    if not desk.begun:
        return first_visit.show(desk)
    with opened(desk.folder) as studio:
        found = this_week(studio)
        return page(
            desk,
            "week.html",
            week=found,
            last=max((s.sheet.week for one in found.students for s in one.sheets), default=""),
            lesson=studio.studio.next_lesson(today()),
            job=desk.builds.job,
        )


def build(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Begin to build for everyone, or for the student whose button was pressed."""
    if not desk.begun:
        raise HTTPException(404)
    try:
        day = date.fromisoformat(fields.get("week", ""))
    except ValueError:
        raise HTTPException(400, "Write the day of the lesson as 2027-01-12.") from None
    what = fields.get("what", NEXT)
    if what not in (NEXT, WHOLE):
        raise HTTPException(400, "Choose what to set.")
    student = fields.get("student", "")
    desk.builds.start(desk.folder, what, day, [student] if student else [])
    return RedirectResponse("/build", 303)


def progress(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """How far the build is: a page, or numbers for its script."""
    job = desk.builds.job
    if job is None:
        return RedirectResponse("/", 303)
    running, end = job.running, job.end
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse(
            {"running": running, "step": job.at.name, "done": job.at.done, "of": job.at.of}
        )
    return page(desk, "build.html", job=job, running=running, well=end.well, lines=end.lines)


def cancel(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Cancel the build."""
    desk.builds.cancel()
    return RedirectResponse("/build", 303)


def all_of_week(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The PDFs of one kind of a whole week, as one file to print."""
    day, kind = request.path_params["day"], request.path_params["kind"]
    if kind not in KINDS or not desk.begun:
        raise HTTPException(404)
    with opened(desk.folder) as studio:
        data = week_file(studio, day, kind)
    named = f'inline; filename="{kind}.pdf"'
    return Response(data, media_type="application/pdf", headers={"Content-Disposition": named})


def pdf(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """A PDF of a sheet, to look at or to print."""
    code, kind = request.path_params["code"], request.path_params["kind"]
    if kind not in KINDS:
        raise HTTPException(404)
    with desk.sheet(code) as studio:
        data = sheet_file(studio, code, kind).read_bytes()
    named = f'inline; filename="{code}-{KINDS[kind]}"'
    return Response(data, media_type="application/pdf", headers={"Content-Disposition": named})
