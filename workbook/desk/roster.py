"""The page *Roster*: the rows as a table that is checked while the teacher types."""

from __future__ import annotations

import re

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError, OutputError, Problem
from workbook.inputs.csv_table import heading
from workbook.studio.settings import CHOICES
from workbook.studio.templates import available
from workbook.weeks.roster_table import (
    Offer,
    RosterTable,
    check,
    edited,
    offers,
    read_table,
    row_of,
    save,
    table_of,
)
from workbook.weeks.studios import OpenStudio, opened

MOST_ROWS = 100
"""Larger rosters are for a spreadsheet program."""
_BREAKS = re.compile("[\r\n]")
NEW_ROWS = 2
"""Empty rows at the end, for new students."""


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The roster as it is in its file."""
    with opened(desk.folder) as studio:
        try:
            table = read_table(studio.studio.roster)
        except InputError as error:
            return page(desk, "told.html", 409, lines=[str(one) for one in error.problems])
        if len(table.rows) > MOST_ROWS:
            told = f"{table.name} has more than {MOST_ROWS} rows; open it in a spreadsheet program."
            return page(desk, "told.html", 409, lines=[told])
        return _shown(desk, studio, table, table.version, check(studio.studio, table.data))


def change(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Save what was typed; with a problem in it, show both, and save nothing."""
    with opened(desk.folder) as studio:
        before = read_table(studio.studio.roster)
        data = _typed(before, fields)
        problems: tuple[Problem, ...] = ()
        if fields.get("seen") != before.version:
            raise OutputError(
                f"{before.name} was changed elsewhere in the meantime; nothing was saved. Reload "
                "the page first."
            )
        try:
            save(studio.studio, before, data)
        except InputError as error:
            problems = error.problems
        if problems:
            table = table_of(data, before.name)
            return _shown(desk, studio, table, before.version, problems, status=400)
    return RedirectResponse("/roster?saved=yes", 303)


def checked(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """What is wrong with what was typed so far, by row, with near matches."""
    with opened(desk.folder) as studio:
        before = read_table(studio.studio.roster)
        data = _typed(before, {**fields, "remove": ""})
        table = table_of(data, before.name)
        found = check(studio.studio, data)
    told = _by_row(table, found)
    return JSONResponse(
        {
            "rows": {
                str(number): [
                    {"told": words, "offers": [[one.column, one.text] for one in near]}
                    for words, near in lines
                ]
                for number, lines in told.items()
                if number
            },
            "all": [words for words, _ in told.get(0, [])],
        }
    )


def _typed(table: RosterTable, fields: dict[str, str]) -> bytes:
    """The roster with the cells of a form: ``c2.0`` for row 2, column 0; ``n0.1`` in a new row."""
    # a browser shows a cell of several lines in one; as it is shown, it is not changed
    shown = {
        (row.number, column): _BREAKS.sub("", cell)
        for row in table.rows
        for column, cell in enumerate(row.cells)
    }
    cells: dict[tuple[int, int], str] = {}
    added: dict[int, dict[int, str]] = {}
    for name, text in fields.items():
        row, dot, column = name[1:].partition(".")
        if not (dot and _small(row) and _small(column) and int(column) < len(table.headings)):
            continue
        if name.startswith("c") and shown.get((int(row), int(column))) != text:
            cells[int(row), int(column)] = text
        elif name.startswith("n"):
            added.setdefault(int(row), {})[int(column)] = text
    removed = {int(fields["remove"])} if _small(fields.get("remove", "")) else set()
    return edited(table, cells, [added[number] for number in sorted(added)], removed)


def _small(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 7


def _shown(
    desk: Desk,
    studio: OpenStudio,
    table: RosterTable,
    version: str,
    problems: tuple[Problem, ...],
    status: int = 200,
) -> Response:
    told = _by_row(table, problems)
    if len(table.rows) > MOST_ROWS + NEW_ROWS:
        raise HTTPException(413, "There are too many rows.")
    last = max((row.number for row in table.rows), default=table.header)
    return page(
        desk,
        "roster.html",
        status,
        table=table,
        version=version,
        lists=[_list(studio, name) for name in table.headings],
        told=told,
        clean=not problems,
        refused=status != 200,
        new=range(last + 1, last + 1 + NEW_ROWS),
    )


def _list(studio: OpenStudio, name: str) -> tuple[str, tuple[str, ...]]:
    """The words that a column knows, for the list that opens below a cell."""
    known = heading(name)
    if known == "template":
        return known, tuple(available(studio.studio.build.template_dir))
    return known, tuple(CHOICES.get(known, ()))


def _by_row(
    table: RosterTable, problems: tuple[Problem, ...]
) -> dict[int, list[tuple[str, list[Offer]]]]:
    """The problems of each row in words; those of the whole file under 0."""
    found: dict[int, list[tuple[str, list[Offer]]]] = {}
    for one in problems:
        number = row_of(one) or 0
        words = f"{one.what} {one.instead}".strip() if number else str(one)
        found.setdefault(number, []).append((words, offers(one, table)))
    return found
