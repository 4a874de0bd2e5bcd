"""What all workbooks of a large build have in common, whichever run made them.

In: a store, and the settings, templates and fingerings of a run. Out: ``build.json`` in the
store. The first run writes it; a later one with others is refused, or the store would have
workbooks of both and nobody could tell which.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict
from importlib.metadata import version

from workbook.builds.storage import Storage
from workbook.errors import InputError, Problem
from workbook.fingering.conventions import Conventions
from workbook.inputs.messages import quoted
from workbook.planning.dealing import KEY_CODE
from workbook.planning.exercise_pool import digest
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import Template

BUILD = "build.json"
_OWN_CHECK = frozenset({"template_dir", "fingering"})
"""Settings that name files, whose contents are compared instead."""
_IN_THE_CODE = frozenset({"forms"})
"""Settings that give other key codes, so that nothing is mixed in a folder."""
_ELSEWHERE = "or write to another folder"


def settle(
    store: Storage, settings: BuildSettings, templates: Iterable[Template], table: Conventions
) -> None:
    """Write what the workbooks have in common, or compare it with what is there.

    A template that earlier runs did not use is added. Raises InputError with every
    difference, and OutputError if the store cannot be used.
    """
    wanted = _shared(settings, templates, table)
    data = store.find(BUILD)
    if data is None:
        if any(map(KEY_CODE.fullmatch, store.names())):
            raise _problems(["is missing, although there are workbooks;"], "")
        found = wanted
    else:
        found = _read(data)
        if differences := list(_differences(found, wanted)):
            raise _problems(differences, f"use the same as before, {_ELSEWHERE}")
    wanted["templates"] = found["templates"] | wanted["templates"]
    text = (json.dumps(wanted, indent=1, sort_keys=True) + "\n").encode()
    if text != data:
        store.write(BUILD, text)


_Shared = dict[str, dict[str, object]]


def _shared(settings: BuildSettings, templates: Iterable[Template], table: Conventions) -> _Shared:
    fingerings = sorted(map(repr, table.entries.items()))
    return {
        "program": {"version": version("workbook")},
        "settings": {
            name: value
            for name, value in asdict(settings).items()
            if name not in _OWN_CHECK | _IN_THE_CODE
        },
        "fingerings": {"sha256": digest(*fingerings)},
        "templates": {one.name: digest(repr(one)) for one in templates},
    }


def _read(data: bytes) -> _Shared:
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        found = None
    names = ("program", "settings", "fingerings", "templates")
    if not (isinstance(found, dict) and all(isinstance(found.get(n), dict) for n in names)):
        raise _problems(["cannot be read;"], "")
    return found


def _differences(found: _Shared, wanted: _Shared) -> Iterable[str]:
    """Templates last, and only if the settings are the same: some settings override theirs."""
    settings = list(_settings(found, wanted))
    yield from settings
    if found["fingerings"] != wanted["fingerings"]:
        yield "the fingerings were changed;"
    for name, content in wanted["templates"].items():
        if not settings and found["templates"].get(name, content) != content:
            yield f"the template {quoted(name)} was changed;"


def _settings(found: _Shared, wanted: _Shared) -> Iterable[str]:
    for part in ("program", "settings"):
        for name, value in wanted[part].items():
            if (old := found[part].get(name)) != value:
                yield f"{name} was {_shown(old)} and is now {_shown(value)};"


def _shown(value: object) -> str:
    return "not given" if value is None else quoted(value)


def _problems(what: Iterable[str], instead: str) -> InputError:
    last = instead or _ELSEWHERE.removeprefix("or ")
    return InputError(Problem(BUILD, "", one, last) for one in what)
