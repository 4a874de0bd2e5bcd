"""The page of a folder that is not a studio yet: it makes one there, or an invented one."""

from __future__ import annotations

from datetime import date

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError, Problem
from workbook.inputs.days import today
from workbook.inputs.problem_log import bytes_of
from workbook.weeks.first_roster import INVENTED, first_roster, invented, levels
from workbook.weeks.studios import begin as begin_studio
from workbook.weeks.term_dates import check_term, set_term

_ROWS, _MOST_ROWS = 6, 100


def show(
    desk: Desk, fields: dict[str, str] | None = None, problems: tuple[str, ...] = ()
) -> Response:
    """The form, with what was typed if something was wrong with it."""
    there = (desk.folder / "roster.csv").is_file()
    typed = fields or {}
    rows = max([_ROWS, *(number + 1 for number, _ in _named(typed))])
    return page(
        desk,
        "begin.html",
        400 if problems else 200,
        folder=desk.folder.resolve().name,
        there=there,
        levels=levels(),
        typed=typed,
        rows=rows,
        problems=problems,
    )


def begin(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Make the studio."""
    if desk.begun:
        raise HTTPException(409, "This folder is already a studio folder.")
    there = desk.folder / "roster.csv"
    try:
        first, exam = (_day(fields, name) for name in ("first_lesson", "exam"))
        check_term(first, exam)
        if there.is_file():
            roster = bytes_of(there)
        else:
            roster = first_roster(
                (name, fields.get(f"level{number}", "")) for number, name in _named(fields)
            )
    except InputError as error:
        return show(desk, fields, tuple(map(str, error.problems)))
    studio = begin_studio(desk.folder, roster)
    if first or exam:
        set_term(studio, first, exam, [])
    desk.announce()
    return RedirectResponse("/", 303)


def look(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Go to the invented studio, or back to the teacher's own folder."""
    if fields.get("do") == "back":
        desk.go_back()
    elif desk.begun:
        raise HTTPException(409, "This folder is already a studio folder.")
    else:
        desk.visit(invented(desk.folder / INVENTED, today()).folder)
    return RedirectResponse("/", 303)


def _named(fields: dict[str, str]) -> list[tuple[int, str]]:
    """The names of the form, with the numbers of their rows."""
    found = ((number, fields.get(f"student{number}", "")) for number in range(_MOST_ROWS))
    return [(number, name) for number, name in found if name.strip()]


def _day(fields: dict[str, str], name: str) -> date | None:
    text = fields.get(name, "")
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        what = f"{name.replace('_', ' ')} is not a date;"
        raise InputError([Problem("the term", "", what, "write it as 2027-01-12")]) from None
