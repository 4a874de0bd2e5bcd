"""Which page the desk shows at which address.

In: a running desk. Out: an ASGI app. Addresses name sheets by key code
and boxes by number, never files. Everything is done by the functions of ``workbook.weeks``.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from importlib import import_module
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.convertors import IntegerConvertor, register_url_convertor
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from workbook.desk import first_visit, week
from workbook.desk.desk import Desk, page
from workbook.desk.guard import LINK, OPEN, Door, Guard, refused
from workbook.errors import WorkbookError
from workbook.weeks.this_week import NoFile

Work = Callable[[Desk, Request, dict[str, str]], Response]
ListWork = Callable[[Desk, Request, dict[str, list[str]]], Response]
_STATIC = Path(__file__).parent / "static"
_KINDS = {"desk.css": "text/css", "desk.js": "text/javascript", "desk.svg": "image/svg+xml"}
_FAULT = (
    "Something went wrong in the desk; the “workbook desk” window has the details. "
    "Everything saved so far is kept."
)
MOST_FIELDS = 1_500
"""Of one form; a roster of a hundred rows has most."""
_UNKNOWN, _NOT_FOUND = 401, 404


class _Small(IntegerConvertor):
    """A number small enough for all parts of the desk; larger ones name no page."""

    regex = "[0-9]{1,9}"


register_url_convertor("small", _Small())


def app(desk: Desk) -> Guard:
    """The pages of a desk, guarded: even the response to an internal error has the headers."""
    door = desk.door

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:  # noqa: ARG001  (Starlette's shape)
        yield
        await run_in_threadpool(desk.close)

    async def failed(request: Request, error: Exception) -> Response:
        return await run_in_threadpool(_told, desk, request, error)

    async def fault(request: Request, error: Exception) -> Response:  # noqa: ARG001
        return refused(500, _FAULT, request.headers)

    pages = Starlette(
        routes=[
            Route(OPEN, _open(door)),
            Route(LINK, _link(door), methods=["POST"]),
            Route("/", _get(desk, week.show)),
            Route("/begin", _post(desk, first_visit.begin), methods=["POST"]),
            Route("/look", _post(desk, first_visit.look), methods=["POST"]),
            Route("/week/{day}/{kind}.pdf", _get(desk, week.all_of_week)),
            Route("/build", _get(desk, week.progress)),
            Route("/build", _post(desk, week.build), methods=["POST"]),
            Route("/build/cancel", _post(desk, week.cancel), methods=["POST"]),
            Route("/sheet/{code}/{kind}.pdf", _get(desk, week.pdf)),
            Route("/student/{id:small}", _get(desk, _later("student", "show"))),
            Route(
                "/student/{id:small}", _post(desk, _later("student", "change")), methods=["POST"]
            ),
            Route("/student/{id:small}/progress.pdf", _get(desk, _later("student", "pdf"))),
            Route("/studio", _get(desk, _later("studio", "show"))),
            Route("/studio/progress.pdf", _get(desk, _later("studio", "pdf"))),
            Route("/term", _get(desk, _later("term", "show"))),
            Route("/term", _post(desk, _later("term", "change")), methods=["POST"]),
            Route("/term.pdf", _get(desk, _later("term", "pdf"))),
            Route("/roster", _get(desk, _later("roster", "show"))),
            Route("/roster", _post(desk, _later("roster", "change")), methods=["POST"]),
            Route("/roster/check", _post(desk, _later("roster", "checked")), methods=["POST"]),
            Route("/templates", _get(desk, _later("templates", "show"))),
            Route("/templates", _post(desk, _later("templates", "new")), methods=["POST"]),
            Route(
                "/template/{name}/{number:small}/sections",
                _lists(desk, _later("templates", "arrange")),
                methods=["POST"],
            ),
            Route(
                "/template/{name}/{number:small}/head",
                _lists(desk, _later("templates", "head")),
                methods=["POST"],
            ),
            Route("/template/{name}/{number:small}", _lists(desk, _later("templates", "section"))),
            Route(
                "/template/{name}/{number:small}",
                _lists(desk, _later("templates", "change")),
                methods=["POST"],
            ),
            Route(
                "/template/{name}/{number:small}/check",
                _lists(desk, _later("templates", "checked")),
                methods=["POST"],
            ),
            Route("/example/{id}/{face}.png", _get(desk, _later("templates", "picture"))),
            Route("/fingering", _get(desk, _later("fingering", "show"))),
            Route("/fingering", _post(desk, _later("fingering", "change")), methods=["POST"]),
            Route("/fingering.css", _get(desk, _later("fingering", "places"))),
            Route("/mark/{code}", _get(desk, _later("marking", "first"))),
            Route("/mark/{code}/state", _get(desk, _later("marking", "state"))),
            Route("/mark/{code}/{page:small}", _get(desk, _later("marking", "show"))),
            Route(
                "/mark/{code}/{page:small}",
                _post(desk, _later("marking", "mark")),
                methods=["POST"],
            ),
            Route("/mark/{code}/{page:small}.png", _get(desk, _later("marking", "picture"))),
            Route("/mark/{code}/{page:small}.css", _get(desk, _later("marking", "places"))),
            Route("/{name}", _static),
        ],
        exception_handlers={WorkbookError: failed, HTTPException: failed, Exception: fault},
        lifespan=lifespan,
    )
    return Guard(pages, door)


def _later(room: str, name: str) -> Callable[..., Response]:
    """A function of any page but the first, loaded when it is needed: the desk starts before its
    drawings and estimates are loaded.
    """

    def work(*given: object) -> Response:
        found: Response = getattr(import_module(f"workbook.desk.{room}"), name)(*given)
        return found

    return work


def _get(desk: Desk, work: Work) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        return await run_in_threadpool(work, desk, request, {})

    return answer


def _post(desk: Desk, work: Work) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
            fields = {name: value for name, value in form.items() if isinstance(value, str)}
        return await run_in_threadpool(work, desk, request, fields)

    return answer


def _lists(desk: Desk, work: ListWork) -> Callable[[Request], Awaitable[Response]]:
    """As ``_post``, with every value of each field."""

    async def answer(request: Request) -> Response:
        fields: dict[str, list[str]] = {}
        if request.method == "POST":
            async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
                for name, value in form.multi_items():
                    if isinstance(value, str):
                        fields.setdefault(name, []).append(value)
        return await run_in_threadpool(work, desk, request, fields)

    return answer


def _open(door: Door) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        if request.method == "HEAD":  # a program that looks at the link does not use it up
            return Response()
        session = door.opens(request.query_params.get("once", ""))
        if not session and not door.knows(request.headers):
            raise HTTPException(
                401,
                "This link has already been used. For a new one, run workbook desk again.",
            )
        response = RedirectResponse("/", 303)
        if session:
            response.set_cookie(door.cookie, session, httponly=True, samesite="strict")
        return response

    return answer


def _link(door: Door) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        if not door.knows_again(request.headers):
            raise HTTPException(401, "Only another desk may ask for a link.")
        return PlainTextResponse(door.link())

    return answer


async def _static(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in _KINDS:
        raise HTTPException(_NOT_FOUND)
    data = await run_in_threadpool((_STATIC / name).read_bytes)
    return Response(data, media_type=_KINDS[name])


def _told(desk: Desk, request: Request, error: Exception) -> Response:
    """An error as a page, or as a line for the script."""
    status, headers = 409, None
    lines = str(error).splitlines()
    if isinstance(error, HTTPException):
        status, headers = error.status_code, error.headers
        lines = [error.detail if status != _NOT_FOUND else "There is no such page."]
    elif isinstance(error, NoFile):
        status = _NOT_FOUND
    if status == _UNKNOWN:
        return refused(status, lines[0], request.headers)
    if "application/json" in request.headers.get("accept", ""):
        return PlainTextResponse("\n".join(lines), status, headers)
    return page(desk, "told.html", status, lines=lines)
