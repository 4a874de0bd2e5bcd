"""The settings that all workbooks in the store of a large build have in common.

In: a store and the settings of a build. Out: ``build.json``, written by the first build;
later ones must have the same settings, or half of the papers would look different.
"""

from __future__ import annotations

import hashlib
import json
from importlib.metadata import version
from pathlib import Path

from workbook.builds.storage import Storage
from workbook.errors import InputError, Problem
from workbook.inputs.messages import quoted
from workbook.studio.settings import BuildSettings

BUILD = "build.json"


def settle(store: Storage, settings: BuildSettings) -> None:
    """Write the settings into an empty store, or compare them with those that it has.

    Raises InputError if they differ.
    """
    wanted = _shared(settings)
    if not store.exists(BUILD):
        store.write(BUILD, (json.dumps(wanted, indent=1) + "\n").encode())
        return
    instead = "use the same settings, or write to another folder"
    try:
        found = json.loads(store.read(BUILD))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise InputError([Problem(BUILD, "", "cannot be read;", "write to another folder")])
    problems = [
        Problem(
            BUILD,
            "",
            f"{name} was {quoted(found.get(name))} and is now {quoted(value)};",
            instead,
        )
        for name, value in wanted.items()
        if found.get(name) != value
    ]
    if problems:
        raise InputError(problems)


def _shared(settings: BuildSettings) -> dict[str, object]:
    """Whatever changes pages or accepted answers, and is not in the key code."""
    own = Path(settings.fingering).read_bytes() if settings.fingering else b""
    return {
        "version": version("workbook"),
        "paper": settings.paper,
        "size": settings.size,
        "punch": settings.punch,
        "grey": settings.grey,
        "fillable": settings.fillable,
        "letters": settings.letters,
        "steps": settings.steps,
        "fingering": hashlib.sha256(own).hexdigest()[:16] if own else None,
    }
