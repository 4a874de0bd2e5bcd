"""The page *The term*: dates and lesson weeks, and the plan of each student as a chart."""

from __future__ import annotations

from datetime import date

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError, WorkbookError
from workbook.inputs.days import day_and_month, today
from workbook.weeks.studios import NoStudio, opened
from workbook.weeks.term import term_plans
from workbook.weeks.term_charts import chart, write_charts
from workbook.weeks.term_dates import set_term, toggle_week


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Dates, weeks and charts."""
    return _shown(desk)


def change(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Set the dates, or take a week out of the term or put it back."""
    if not desk.begun:
        raise HTTPException(404)
    try:
        with opened(desk.folder) as studio:
            if "week" in fields:
                toggle_week(studio.studio, _day(fields["week"]))
                return RedirectResponse("/term#weeks", 303)
            first, exam = (_date(fields.get(name, "")) for name in ("first_lesson", "exam"))
            set_term(studio.studio, first, exam, studio.studio.term.weeks_off)
    except InputError as error:
        return _shown(desk, tuple(map(str, error.problems)), fields)
    return RedirectResponse("/term", 303)


def pdf(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The charts of all students as a PDF, made as ``workbook term`` makes it."""
    with opened(desk.folder) as studio:
        data = write_charts(studio, term_plans(studio, today()))[0].read_bytes()
    return Response(data, media_type="application/pdf")


def _shown(
    desk: Desk, problems: tuple[str, ...] = (), typed: dict[str, str] | None = None
) -> Response:
    plans = []
    with opened(desk.folder) as studio:
        term = studio.studio.term
        try:
            if term.first_lesson and term.exam:
                plans = term_plans(studio, today())
        except InputError as error:
            problems = (*problems, *map(str, error.problems))
        except NoStudio as error:
            problems = (*problems, str(error))
        ids = {student.name: student.id for student in studio.record.students()}
    lessons = set(term.weeks())
    return page(
        desk,
        "term.html",
        400 if problems and typed is not None else 200,
        term=term,
        typed=typed or {},
        weeks=[(day, day_and_month(day), day in lessons) for day in term.all_weeks()],
        lessons=len(lessons),
        plans=[(ids.get(plan.student), plan, chart(plan)) for plan in plans],
        problems=problems,
    )


def _date(text: str) -> date | None:
    return _day(text) if text else None


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise WorkbookError("Write dates as 2027-01-12.") from None
