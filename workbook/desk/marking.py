"""The page *Marking*: a sheet as it was printed, with a button on every box."""

from __future__ import annotations

import re
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.desk.pictures import Picture
from workbook.marking.answer_lines import answer_rows
from workbook.marking.outcome import Outcome
from workbook.music.naming import Naming
from workbook.record.model import Record
from workbook.studio_record.model import SheetState
from workbook.weeks.marking_session import Session
from workbook.weeks.marks import Summary, item_name, summary
from workbook.weeks.page_marks import PageBox, page_boxes
from workbook.weeks.studios import OpenStudio
from workbook.weeks.this_week import sheet_file
from workbook.weeks.wording import sheet_naming

ANSWERS = ("in the boxes", "beside the page", "hidden")
WAY_COOKIE = "workbook-answers"
"""Remembers, from one sheet to the next, where the teacher likes the answers."""
_YEAR = 365 * 24 * 3600
_NUMBERS = re.compile(r"[0-9]{1,6}(,[0-9]{1,6}){0,999}")
SIGNS = {
    Outcome.RIGHT: "",
    Outcome.WRONG: "×",
    Outcome.EMPTY: "–",
    Outcome.NOT_MARKED: "",
}


def first(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """On to the first page that has boxes."""
    code = request.path_params["code"]
    with desk.sheet(code) as studio:
        number = _pages(studio.record.workbook(code))[0]
    return RedirectResponse(f"/mark/{code}/{number}", 303)


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """A page of the sheet."""
    code, number = request.path_params["code"], request.path_params["page"]
    chosen = request.query_params.get("answers")
    answers = chosen or _remembered(request)
    with desk.sheet(code) as studio:
        workbook = studio.record.workbook(code)
        pages = _pages(workbook)
        if number not in pages or answers not in ANSWERS:
            raise HTTPException(404)
        sheet_file(studio, code, "workbook")
        boxes = page_boxes(workbook, studio.record.marks(code), sheet_naming(studio, code))
        place = pages.index(number)
        shown = page(
            desk,
            "mark.html",
            sheet=studio.record.sheet(code),
            number=number,
            pages=pages,
            before=pages[place - 1] if place else None,
            after=pages[place + 1] if place + 1 < len(pages) else None,
            boxes=[box for box in boxes if box.blank.page == number],
            label=_label,
            sign=SIGNS,
            state=_state(desk, summary(studio, code), boxes),
            answers=answers,
            ways=ANSWERS,
            beside=_beside(workbook, number, sheet_naming(studio, code)),
            fresh=not any(box.outcome != Outcome.NOT_MARKED for box in boxes),
            not_handed_in=studio.record.sheet(code).state == SheetState.NOT_HANDED_IN,
        )
    if chosen:
        place_of = str(ANSWERS.index(chosen))
        shown.set_cookie(WAY_COOKIE, place_of, _YEAR, httponly=True, samesite="strict")
    return shown


def _remembered(request: Request) -> str:
    """Where the answers were shown last time."""
    kept = request.cookies.get(WAY_COOKIE, "0")
    return ANSWERS[int(kept)] if kept in {"0", "1", "2"} else ANSWERS[0]


def mark(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """Record one touch, or what another button says; answered when it is in the record."""
    code, number = request.path_params["code"], request.path_params["page"]
    with desk.sheet(code) as studio:
        found = _done(desk, studio, code, number, fields)
        desk.copies.soon()
        if "application/json" in request.headers.get("accept", ""):
            boxes = _boxes(studio, code)
            return JSONResponse(_state(desk, found, boxes))
    return RedirectResponse(f"/mark/{code}/{number}", 303)


def _done(
    desk: Desk, studio: OpenStudio, code: str, number: int, fields: dict[str, str]
) -> Summary:
    marking = desk.marking(code)
    if "touch" in fields:
        boxes, _, outcome = fields["touch"].partition(" ")
        if not _NUMBERS.fullmatch(boxes) or outcome not in list(Outcome):
            raise HTTPException(400, "This is not a valid touch on a box.")
        return marking.touch(studio, [int(box) for box in boxes.split(",")], Outcome(outcome))
    match fields.get("do"):
        case "undo":
            return marking.undo(studio)
        case "rest":
            return marking.rest_right(studio)
        case "missing":
            return marking.page_missing(studio, number)
        case "not handed in":
            Session(studio, code).not_handed_in()
            return summary(studio, code)
    raise HTTPException(400, "There is no such button.")


def state(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """What is recorded now, for a window that is visible again."""
    code = request.path_params["code"]
    with desk.sheet(code) as studio:
        boxes = _boxes(studio, code)
        return JSONResponse(_state(desk, summary(studio, code), boxes))


def picture(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The page as it was printed."""
    return Response(_picture(desk, request).png, media_type="image/png")


def places(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """A style sheet that says where the boxes are: in shares of the page, whatever its size."""
    code, number = request.path_params["code"], request.path_params["page"]
    drawn = _picture(desk, request)
    with desk.sheet(code) as studio:
        boxes = page_boxes(studio.record.workbook(code), {})
    rules = [f".page {{ aspect-ratio: {drawn.width:g} / {drawn.height:g}; }}"]
    rules += [_rule(box, drawn) for box in boxes if box.blank.page == number]
    return Response("\n".join(rules), media_type="text/css")


def _rule(box: PageBox, drawn: Picture) -> str:
    left, bottom, right, top = box.blank.rect
    letters = max(2, len(box.blank.answer))
    size = min(0.7 * (top - bottom), 1.5 * (right - left) / letters)
    return (
        f"#b{box.number} {{ left: {100 * left / drawn.width:.3f}%; "
        f"top: {100 * (1 - top / drawn.height):.3f}%; "
        f"width: {100 * (right - left) / drawn.width:.3f}%; "
        f"height: {100 * (top - bottom) / drawn.height:.3f}%; "
        f"font-size: {100 * size / drawn.width:.3f}cqw; }}"
    )


def _picture(desk: Desk, request: Request) -> Picture:
    code = request.path_params["code"]
    with desk.sheet(code) as studio:
        file = sheet_file(studio, code, "workbook")
    return desk.pictures.page(file, request.path_params["page"])


def _pages(workbook: Record) -> list[int]:
    """The pages that have boxes; the first page if none has."""
    return sorted({blank.page for blank in workbook.blanks}) or [1]


def _boxes(studio: OpenStudio, code: str) -> list[PageBox]:
    marks = studio.record.marks(code)
    return page_boxes(studio.record.workbook(code), marks, sheet_naming(studio, code))


def _beside(
    workbook: Record, number: int, naming: Naming
) -> list[tuple[str, list[tuple[str, list[str]]]]]:
    """The answers of the exercises that have boxes on a page, row by row."""
    return [
        (
            f"{item.number}. {item_name(item, naming)}",
            [(asked, [box.answer for _, box in boxes]) for asked, boxes in answer_rows(item)],
        )
        for item in workbook.items
        if any(blank.page == number for blank in item.blanks)
    ]


def _label(box: PageBox) -> str:
    return f"{box.name}: {box.outcome}"


def _state(desk: Desk, found: Summary, boxes: list[PageBox]) -> dict[str, Any]:
    """What changes on the page with each touch."""
    total = sum(section.points or 0 for section in found.sections)
    return {
        "boxes": {
            str(box.number): [box.outcome, box.turn, _label(box), SIGNS[box.outcome]]
            for box in boxes
        },
        "points": [
            [one.letter, "–" if one.points is None else f"{one.points:g}", one.full]
            for one in found.sections
        ],
        "total": f"{total:g} of {found.full}",
        "left": found.not_marked,
        "undo": desk.marking(found.code).can_undo,
    }
