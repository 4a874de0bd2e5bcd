"""The pages *Templates*: each section with its settings and a live example."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.studio.template_model import Section, Template
from workbook.weeks import template_edits as edits
from workbook.weeks import template_sections as sections
from workbook.weeks.studios import OpenStudio, opened
from workbook.weeks.wording import studio_template

Lists = dict[str, list[str]]
"""The fields of a form; a box that is ticked twice over has several values."""
_NUMBERS = {
    "count": "Exercises",
    "points": "Points each",
    "given": "Boxes filled in",
    "ledger_lines": "Ledger lines",
}
"""The numbers of a section by key, as the page calls them."""


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """The templates by name."""
    with opened(desk.folder) as studio:
        return _listed(desk, studio, {}, ())


def new(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Make a template of the studio's own."""
    with opened(desk.folder) as studio:
        if fields.get("base") not in edits.names(studio.studio):
            raise HTTPException(400, "Choose the template to begin with.")
        try:
            name = sections.new(studio.studio, fields["base"], fields.get("title", ""))
        except InputError as error:
            return _listed(desk, studio, fields, tuple(map(str, error.problems)))
    return RedirectResponse(f"/template/{quote(name)}/1", 303)


def arrange(desk: Desk, request: Request, fields: Lists) -> Response:
    """Move a section, take it out, or add one after it."""
    (do,), (family,) = fields.get("do", [""])[:1], fields.get("family", [""])[:1]
    with opened(desk.folder) as studio:
        name = _name(studio, request)
        text = edits.text(studio.studio, name)
        number = _number(edits.read(name, text), request)
        try:
            match do:
                case "up" | "down":
                    to = number - 1 if do == "up" else number + 1
                    new = sections.moved(name, text, number, to)
                case "remove":
                    new, to = sections.removed(name, text, number), max(number - 1, 0)
                case "add" if family in FAMILIES:
                    new, to = sections.added(name, text, family, number + 1), number + 1
                case _:
                    raise HTTPException(400, "There is no such button.")
            edits.keep(studio.studio, name, new)
        except InputError as error:
            return _shown(desk, studio, request, text, tuple(map(str, error.problems)))
    return RedirectResponse(f"/template/{quote(name)}/{to + 1}", 303)


def head(desk: Desk, request: Request, fields: Lists) -> Response:
    """Save the title and the instructions of a template."""
    title = " ".join(" ".join(fields.get("title", [])).split())
    lines = [
        line.strip() for value in fields.get("instructions", []) for line in value.splitlines()
    ]
    instructions = "\n".join(line for line in lines if line)
    with opened(desk.folder) as studio:
        name = _name(studio, request)
        text = edits.text(studio.studio, name)
        try:
            found = edits.read(name, text)
            edits.keep(
                studio.studio,
                name,
                sections.headed(
                    name,
                    text,
                    None if title == found.title else title,
                    None if instructions == found.instructions else instructions,
                ),
            )
        except InputError as error:
            told = tuple(map(str, error.problems))
            return _shown(desk, studio, request, text, told, head=(title, instructions))
    return RedirectResponse(request.url.path.removesuffix("/head"), 303)


def _listed(
    desk: Desk, studio: OpenStudio, fields: dict[str, str], problems: tuple[str, ...]
) -> Response:
    listed = [(name, _title(studio, name), own) for name, own in edits.names(studio.studio).items()]
    status = 400 if problems else 200
    return page(desk, "templates.html", status, templates=listed, typed=fields, problems=problems)


def section(desk: Desk, request: Request, fields: Lists) -> Response:  # noqa: ARG001
    """A section of a template."""
    with opened(desk.folder) as studio:
        name = _name(studio, request)
        return _shown(desk, studio, request, edits.text(studio.studio, name), ())


def change(desk: Desk, request: Request, fields: Lists) -> Response:
    """Save the section as it was typed, in a template of the studio's own."""
    with opened(desk.folder) as studio:
        name = _name(studio, request)
        text = edits.text(studio.studio, name)
        try:
            new = _edited(studio, request, text, fields)
            edits.keep(studio.studio, name, new)
        except InputError as error:
            told = _told(_section(studio, request, text), error)
            return _shown(desk, studio, request, text, told, typed=fields)
    return RedirectResponse(request.url.path, 303)


def checked(desk: Desk, request: Request, fields: Lists) -> Response:
    """What is wrong with what was typed so far, or the id of an example of it."""
    with opened(desk.folder) as studio:
        name = _name(studio, request)
        text = edits.text(studio.studio, name)
        one = _section(studio, request, text)
        try:
            new = _edited(studio, request, text, fields)
            found = studio_template(studio.studio, edits.read(name, new))
            number = _number(found, request)
            made = edits.example(studio.studio, found, number)
        except InputError as error:
            return JSONResponse({"problems": _told(one, error), "example": ""})
    shown = desk.examples.add(made, found.sections[number].points)
    return JSONResponse({"problems": [], "example": shown, "task": made.prompt})


def picture(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """One face of an example."""
    slip = desk.examples.slip(request.path_params["id"])
    face = request.path_params["face"]
    if slip is None or face not in ("workbook", "answer-key"):
        raise HTTPException(404)
    data = slip.workbook if face == "workbook" else slip.answer_key
    return Response(data, media_type="image/png")


def _shown(
    desk: Desk,
    studio: OpenStudio,
    request: Request,
    text: str,
    problems: tuple[str, ...],
    *,
    typed: Lists | None = None,
    head: tuple[str, str] | None = None,
) -> Response:
    """A section with its example; what was ``typed`` in a form that was refused stays in it."""
    name = _name(studio, request)
    found = studio_template(studio.studio, edits.read(name, text))
    number = _number(found, request)
    one = found.sections[number]
    made = edits.example(studio.studio, found, number)
    numbers = {key: str(getattr(one, key)) for key in _NUMBERS}
    choices = edits.choices(one)
    if typed is not None:
        numbers |= {key: " ".join(typed[key]) for key in _NUMBERS if key in typed}
        choices = [replace(each, chosen=_lines(typed, each.name)) for each in choices]
    return page(
        desk,
        "template.html",
        400 if problems else 200,
        recipe=name,
        template=found,
        number=number,
        section=one,
        family=FAMILIES[one.family].title_in(found.naming),
        numbers=[(key, words, numbers[key]) for key, words in _NUMBERS.items()],
        choices=choices,
        typed_title=" ".join(typed.get("title", [])) if typed is not None else one.title,
        head=head or (found.title, found.instructions),
        families=[(one.name, one.title_in(found.naming)) for one in FAMILIES.values()],
        own=edits.names(studio.studio)[name],
        example=desk.examples.add(made, one.points),
        task=made.prompt,
        problems=problems,
    )


def _edited(studio: OpenStudio, request: Request, text: str, fields: Lists) -> str:
    """The text with the section of the form; fields that the section has not are left out."""
    name, one = _name(studio, request), _section(studio, request, text)
    choices = edits.choices(one)
    now: dict[str, Sequence[str]] = {key: (str(getattr(one, key)),) for key in _NUMBERS}
    now |= {"title": (one.title,)} | {each.name: each.chosen for each in choices}
    typed = {key: _lines(fields, key) for key in now}
    typed |= {each.name: each.ticked(typed[each.name]) for each in choices}
    changed = {key: value for key, value in typed.items() if value != tuple(now[key])}
    return edits.edited(name, text, request.path_params["number"] - 1, changed)


def _told(one: Section, error: InputError) -> tuple[str, ...]:
    """What is wrong with a section, in the words of its form."""
    words = _NUMBERS | {"title": "Title"} | {each.name: each.title for each in edits.choices(one)}

    def told(problem: Problem) -> str:
        key, space, rest = problem.what.partition(" ")
        title = words.get(key.strip('"'))
        return f"“{title}” {rest} {problem.instead}".strip() if title and space else str(problem)

    return tuple(map(told, error.problems))


def _lines(fields: Lists, key: str) -> tuple[str, ...]:
    """What a field holds, one line for each value."""
    return tuple(line.strip() for value in fields.get(key, []) for line in value.splitlines())


def _name(studio: OpenStudio, request: Request) -> str:
    name: str = request.path_params["name"]
    if name not in edits.names(studio.studio):
        raise HTTPException(404)
    return name


def _section(studio: OpenStudio, request: Request, text: str) -> Section:
    """The section of a template's text that the address names."""
    found = edits.read(_name(studio, request), text)
    return found.sections[_number(found, request)]


def _number(template: Template, request: Request) -> int:
    number: Any = request.path_params["number"]
    if not 1 <= number <= len(template.sections):
        raise HTTPException(404)
    return int(number) - 1


def _title(studio: OpenStudio, name: str) -> str:
    try:
        return edits.read(name, edits.text(studio.studio, name)).title
    except InputError as error:
        return f"has problems: {error.problems[0]}"
