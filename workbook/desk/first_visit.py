"""The page of a folder that is no studio yet: one form that makes it one."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError
from workbook.weeks.first_roster import first_roster, levels
from workbook.weeks.studios import begin as begin_studio


def show(
    desk: Desk, fields: dict[str, str] | None = None, problems: tuple[str, ...] = ()
) -> Response:
    """The form, with what was typed if something was wrong with it."""
    there = (desk.folder / "roster.csv").is_file()
    return page(
        desk,
        "begin.html",
        400 if problems else 200,
        folder=desk.folder.resolve().name,
        there=there,
        levels=levels(),
        typed=fields or {},
        problems=problems,
    )


def begin(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Make the studio."""
    if desk.begun:
        raise HTTPException(409, "This folder is a studio folder already.")
    there = desk.folder / "roster.csv"
    try:
        if there.is_file():
            roster = there.read_bytes()
        else:
            roster = first_roster(fields.get("students", ""), fields.get("level", ""))
    except InputError as error:
        return show(desk, fields, tuple(map(str, error.problems)))
    begin_studio(desk.folder, roster)
    desk.announce()
    return RedirectResponse("/", 303)
