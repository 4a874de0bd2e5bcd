"""Marks from another program, as JSON.

In: JSON text, ``{"sheets": [{"code": "QWZ-6UR", "outcomes": {"5.3": "wrong"}}]}``. Out: the
marks of each sheet. ``outcomes`` and ``given`` (what was written) are by blank id; blanks of
``given`` without an outcome are to be judged. ``by`` says who marked, ``way`` how: "page",
"scan", "form" or "program".
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workbook.errors import InputError, Problem
from workbook.inputs.messages import any_of, quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.marking.outcome import Outcome

WAYS = ("page", "scan", "form", "program")
_FIELDS = ("code", "outcomes", "given", "by", "way")


@dataclass(frozen=True)
class GivenMarks:
    """The marks of one sheet; ``given`` is what was written, by blank id."""

    code: str
    outcomes: Mapping[str, Outcome]
    given: Mapping[str, str]
    by: str
    way: str


def read_json(text: str, name: str) -> tuple[list[GivenMarks], list[Problem]]:
    """The marks in ``text``, of the file ``name``, and what is wrong in its sheets.

    A sheet without a key code has "" for it. Raises InputError if there are no sheets at all.
    """
    try:
        data = json.loads(text, object_pairs_hook=_object)
        json.dumps(data, ensure_ascii=False).encode()
    except _Repeated as repeated:
        told = f"{quoted(str(repeated))} appears twice in one object;"
        raise InputError([Problem(name, "", told, "write it once")]) from None
    except UnicodeEncodeError:
        told = "has an incomplete character, such as \\ud800 alone;"
        raise InputError([Problem(name, "", told, "write the whole character")]) from None
    except (ValueError, RecursionError):
        raise InputError(
            [Problem(name, "", "is not JSON;", "write it as the README shows")]
        ) from None
    sheets = data.get("sheets") if isinstance(data, dict) else None
    if not isinstance(sheets, list) or not sheets:
        raise InputError([Problem(name, "", 'has no list "sheets";', "write at least one sheet")])
    problems: list[Problem] = []
    found = [_sheet(one, number, name, problems) for number, one in enumerate(sheets, 1)]
    return found, problems


class _Repeated(Exception):
    """Raised with a key that an object has twice, of which the first would be lost."""


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Repeated(key)
        found[key] = value
    return found


def _sheet(data: Any, number: int, name: str, problems: list[Problem]) -> GivenMarks:
    def wrong(what: str, instead: str) -> None:
        problems.append(Problem(name, f"sheet {number}", what, instead))

    if not isinstance(data, dict):
        wrong("is not an object;", 'write {"code": …, "outcomes": …}')
        data = {}
    for key in (key for key in data if key not in _FIELDS):
        hint = did_you_mean(str(key), _FIELDS) or f"a sheet may have {', '.join(_FIELDS)}"
        wrong(f"unknown key {quoted(key)};", hint)
    code = data.get("code")
    if not isinstance(code, str) or not code:
        wrong('"code" is missing;', "write the key code of the sheet")
    way = data.get("way", "program")
    if way not in WAYS:
        wrong(f"way is {quoted(way)};", f"write {any_of([quoted(one) for one in WAYS])}")
    by = data.get("by", "")
    if not isinstance(by, str):
        wrong(f"by is {quoted(by)};", "write who marked, as a text")
    outcomes = _texts(data.get("outcomes", {}), "outcomes", wrong)
    allowed = [str(one) for one in Outcome]
    for blank, outcome in outcomes.items():
        if outcome not in allowed:
            listed = any_of([quoted(one) for one in allowed])
            wrong(f"the outcome of {quoted(blank)} is {quoted(outcome)};", f"write {listed}")
    return GivenMarks(
        code if isinstance(code, str) else "",
        {blank: Outcome(one) for blank, one in outcomes.items() if one in allowed},
        _texts(data.get("given", {}), "given", wrong),
        str(by),
        str(way),
    )


def _texts(value: Any, name: str, wrong: Any) -> dict[str, str]:
    if isinstance(value, dict) and all(isinstance(one, str) for one in value.values()):
        return value
    wrong(f"{name} is {quoted(value)};", 'write texts by blank id: {"5.3": "…"}')
    return {}
