"""The page *Fingering*: digits written under the notes of a scale or an arpeggio."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from workbook.desk.desk import Desk, page
from workbook.errors import InputError
from workbook.music.keys import ALL_KEYS, Key, parse_key
from workbook.music.naming import Naming
from workbook.weeks import own_fingerings as own
from workbook.weeks.studios import OpenStudio, opened
from workbook.weeks.wording import studio_naming

Run = tuple[str, Key, str, str]
"""Kind, key, form and hand."""


def show(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """A run with its fingering."""
    with opened(desk.folder) as studio:
        return _shown(desk, studio, _run(dict(request.query_params)), (), "")


def change(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """Save the digits, or go back to the built-in ones."""
    run = _run(fields)
    kind, key, form, hand = run
    count = own.KINDS[kind][1]
    typed = "".join(fields.get(f"f{number}", "").strip() or " " for number in range(count))
    with opened(desk.folder) as studio:
        try:
            wanted = None if fields.get("do") == "back" else typed
            own.set_digits(studio.studio, kind, key, form, hand, wanted)
        except InputError as error:
            told = tuple(f"{one.what} {one.instead}".strip() for one in error.problems)
            return _shown(desk, studio, run, told, typed)
    return RedirectResponse(f"/fingering?{_query(run)}", 303)


def places(desk: Desk, request: Request, fields: dict[str, str]) -> Response:  # noqa: ARG001
    """A style sheet that says where the digits go, in shares of the picture."""
    kind, key, form, hand = _run(dict(request.query_params))
    with opened(desk.folder) as studio:
        made = own.shown(studio.studio, kind, key, form, hand)
    slip = desk.examples.slip(desk.examples.add(made))
    if slip is None:
        raise HTTPException(404)
    rules = [f".run {{ aspect-ratio: {slip.width:g} / {slip.height:g}; }}"]
    for number, tag in enumerate(own.boxes(made, kind)):
        left, bottom, right, top = slip.boxes[tag]
        rules.append(
            f"#f{number} {{ left: {100 * left / slip.width:.3f}%; "
            f"top: {100 * (1 - top / slip.height):.3f}%; "
            f"width: {100 * (right - left) / slip.width:.3f}%; "
            f"height: {100 * (top - bottom) / slip.height:.3f}%; }}"
        )
    return Response("\n".join(rules), media_type="text/css")


def _shown(
    desk: Desk, studio: OpenStudio, run: Run, problems: tuple[str, ...], typed: str
) -> Response:
    kind, key, form, hand = run
    naming = studio_naming(studio.studio)
    now, is_own = own.digits(studio.studio, kind, key, form, hand)
    made = own.shown(studio.studio, kind, key, form, hand)
    return page(
        desk,
        "fingering.html",
        400 if problems else 200,
        kinds=tuple(own.KINDS),
        kind=kind,
        keys=[(one.ascii, naming.key(one)) for one in ALL_KEYS],
        key=key.ascii,
        words=_words(run, naming),
        forms=own.forms(kind, key),
        form=form,
        hands=own.HANDS,
        hand=hand,
        digits=typed or now,
        own=is_own,
        example=desk.examples.add(made),
        query=_query(run),
        problems=problems,
    )


def _run(fields: dict[str, str]) -> Run:
    """The run that an address or a form names; C major, right hand, by default."""
    kind, hand = fields.get("kind", "scale"), fields.get("hand", "right")
    try:
        key = parse_key(fields.get("key", "C major")[:20], False)
    except ValueError:
        raise HTTPException(400, "There is no such key.") from None
    if kind not in own.KINDS or hand not in own.HANDS:
        raise HTTPException(400, "There is no such run.")
    forms = own.forms(kind, key)
    form = fields.get("form", "")
    return kind, key, form if form in forms else forms[0], hand


def _words(run: Run, naming: Naming) -> str:
    kind, key, form, hand = run
    name = naming.key(key, form if kind == "scale" else "")
    return f"{name}, {hand} hand"


def _query(run: Run) -> str:
    kind, key, form, hand = run
    tonic = key.ascii.replace("#", "%23").replace(" ", "+")
    return f"kind={kind}&key={tonic}&form={form}&hand={hand}"
