"""What the workbooks of a large build are made with, in whatever run.

In: a store, and the settings, rows and fingerings of a run. Out: ``build.json`` in the store.
The first run writes it; a later run with other settings is refused, because the store would then
have workbooks of both kinds that nobody could tell apart.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from importlib.metadata import version

from workbook.builds.orders import Fingerings, Order
from workbook.builds.storage import Storage
from workbook.errors import InputError, Problem
from workbook.fingering.conventions import Conventions
from workbook.inputs.messages import quoted
from workbook.music.naming import ENGLISH
from workbook.planning.coverage import Earlier
from workbook.planning.dealing import KEY_CODE
from workbook.planning.exercise_pool import digest
from workbook.studio.settings import BuildSettings

BUILD = "build.json"
_OWN_CHECK = frozenset({"template_dir", "fingering"})
"""Settings that name files, whose contents are compared instead."""
_IN_THE_CODE = frozenset({"forms"})
"""Settings that give other key codes, so that nothing is mixed in a folder."""
_ELSEWHERE = "or write to another folder"


def settle(
    store: Storage, settings: BuildSettings, orders: Sequence[Order], tables: Fingerings
) -> None:
    """Write what the workbooks are made with, or compare it with the stored settings.

    A template or a row that earlier runs did not have is added. Raises InputError with every
    difference, and OutputError if the store cannot be used.
    """
    wanted = _shared(settings, orders, tables)
    data = store.find(BUILD)
    if data is None:
        if any(map(KEY_CODE.fullmatch, store.names())):
            raise _problems(["is missing, although the folder has workbooks;"], "")
        found = wanted
    else:
        found = _read(data)
        if differences := list(_differences(found, wanted, orders)):
            raise _problems(differences, f"use the same ones as before, {_ELSEWHERE}")
    for part in ("templates", "rows"):
        wanted[part] = found[part] | wanted[part]
    text = (json.dumps(wanted, indent=1, sort_keys=True) + "\n").encode()
    if text != data:
        store.write(BUILD, text)


_Shared = dict[str, dict[str, object]]


def _shared(settings: BuildSettings, orders: Sequence[Order], tables: Fingerings) -> _Shared:
    templates = {one.row.template.name: one.row.template for one in orders}
    own = {path: _content(table) for path, table in tables.own.items()}
    return {
        "program": {"version": version("workbook")},
        "settings": {
            name: value
            for name, value in asdict(settings).items()
            if name not in _OWN_CHECK | _IN_THE_CODE
        },
        "fingerings": {"sha256": _content(tables.general)},
        "templates": {
            # a row may have words of its own
            name: digest(repr(replace(template, naming=ENGLISH)))
            for name, template in templates.items()
        },
        "rows": {_name(one): _own(one, own) for one in orders},
    }


def _content(table: Conventions) -> str:
    return digest(*sorted(map(repr, table.entries.items())))


def _name(order: Order) -> str:
    """What distinguishes rows that get different exercises."""
    row = order.row
    keys = ";".join(key.ascii for key in row.keys)
    told = row.student, row.template.name, keys, row.title, row.seed or "", str(order.copy)
    return digest(*told)[:12]


def _own(order: Order, fingerings: dict[str, str]) -> str:
    """A digest of a row's own settings, its note names, and the earlier sheets."""
    row = order.row
    cells = {
        **row.own.cells(),
        "words": f"{row.template.naming.letters}, {row.template.naming.steps}",
    }
    if row.own.fingering:
        cells["fingering"] = fingerings[row.own.fingering]
    if order.earlier:
        cells["earlier"] = _earlier(order.earlier)
    return digest(repr(sorted(cells.items())))[:12]


def _earlier(earlier: Earlier) -> str:
    return digest(
        *sorted(earlier.identities),
        repr(sorted(earlier.keys.items())),
        repr(sorted(earlier.before.items())),
    )


def _read(data: bytes) -> _Shared:
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        found = None
    names = ("program", "settings", "fingerings", "templates", "rows")
    if not (isinstance(found, dict) and all(isinstance(found.get(n), dict) for n in names)):
        raise _problems(["cannot be read;"], "")
    return found


def _differences(found: _Shared, wanted: _Shared, orders: Sequence[Order]) -> Iterable[str]:
    """Templates and rows last, and only if what overrides theirs is the same."""
    settings = list(_settings(found, wanted))
    yield from settings
    if found["fingerings"] != wanted["fingerings"]:
        yield "the fingerings have changed;"
    for name, content in wanted["templates"].items():
        if not settings and found["templates"].get(name, content) != content:
            yield f"the template {quoted(name)} has changed;"
    for one in () if settings else orders:
        name = _name(one)
        if found["rows"].get(name, wanted["rows"][name]) != wanted["rows"][name]:
            what = "had other settings, note names or earlier sheets;"
            yield f"row {one.row.number}, {one.row.student}, {what}"


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
