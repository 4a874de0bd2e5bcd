"""The teacher's own fingerings, one run at a time, in ``fingering.toml``.

In: a key, a form, a hand, and digits from the lowest note up. Out: the file with them, its
comments and other entries kept; and the exercise under whose notes they are written.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Any, Literal

import tomlkit
from tomlkit.items import AoT

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request
from workbook.fingering.conventions import load, traditional
from workbook.fingering.table import Subject
from workbook.inputs.toml_table import text_of
from workbook.music.keys import Key, parse_key
from workbook.music.scales import scale_forms
from workbook.studio.folder import FINGERING, Studio
from workbook.weeks.template_edits import fingerings
from workbook.weeks.toml_edits import checked, document, save
from workbook.weeks.wording import studio_naming

KINDS: dict[str, tuple[str, int]] = {"scale": ("scale-fingering", 15), "arpeggio": ("arpeggio", 7)}
"""The runs that are fingered here: the family that shows each, and its notes in two octaves."""
HANDS = ("right", "left")
_HEAD = """# Fingerings of this studio, in place of those of the program.
# A digit a note, from the lowest note up.
"""


def forms(kind: str, key: Key) -> tuple[str, ...]:
    """The forms that a run has in a key; an arpeggio has its root position."""
    return tuple(scale_forms(key)) if kind == "scale" else ("root",)


def digits(studio: Studio, kind: str, key: Key, form: str, hand: str) -> tuple[str, bool]:
    """The current fingering, and whether it is the studio's own.

    Raises InputError for a faulty file.
    """
    subject = _subject(kind, key, form)
    now = fingerings(studio).versions(subject, hand)[0]
    return now, now != traditional().versions(subject, hand)[0]


def shown(studio: Studio, kind: str, key: Key, form: str, hand: str) -> Exercise:
    """The run over two octaves, with a box for each finger. Raises InputError."""
    family = FAMILIES[KINDS[kind][0]]
    settings: dict[str, Any] = {"octaves": 2}
    if kind == "scale":
        settings["forms"] = form
    request = Request(
        key,
        hand,
        ("finger",),
        0,
        9,
        settings,
        studio_naming(studio),
        fingering=fingerings(studio),
    )
    return family.make(request, Random(1))


def boxes(exercise: Exercise, kind: str) -> list[str]:
    """The tags of the blanks on the way up, from the lowest note."""
    fingers = sorted(
        (blank for blank in exercise.blanks if blank.asks == "finger"), key=lambda b: b.column
    )
    return [blank.tag for blank in fingers[: KINDS[kind][1]]]


def set_digits(
    studio: Studio, kind: str, key: Key, form: str, hand: str, wanted: str | None
) -> None:
    """Write a fingering; None goes back to the built-in one.

    Raises InputError, with the line, if the fingering cannot be right; OutputError.
    """
    file = studio.folder / FINGERING
    text = text_of(file) if file.is_file() else _HEAD
    if wanted is None:
        _, own = digits(studio, kind, key, form, hand)
        if not own:
            return
        wanted = traditional().versions(_subject(kind, key, form), hand)[0]
    new = _changed(text, kind, (key, form), hand, wanted)
    checked(new, FINGERING, load)
    save(file, new)


def _subject(kind: str, key: Key, form: str) -> Subject:
    name: Literal["scale", "arpeggio"] = "scale" if kind == "scale" else "arpeggio"
    return (name, key, form)


def _changed(text: str, kind: str, run: tuple[Key, str], hand: str, wanted: str) -> str:
    """The text with ``wanted`` for a run; an entry for several runs is divided."""
    found = document(text, FINGERING)
    entries = found.get(kind)
    if not isinstance(entries, AoT):
        entries = tomlkit.aot()
        found[kind] = entries
    for entry in entries:
        runs = _runs(kind, entry)
        if run in runs and hand in entry:
            own = _divided(kind, entries, entry, runs, run) if len(runs) > 1 else entry
            _finger(own, hand, wanted)
            return tomlkit.dumps(found)
    entries.append(_entry(kind, run, {hand: wanted}))
    return tomlkit.dumps(found)


def _finger(entry: Any, hand: str, wanted: str) -> None:
    """Write the first choice of an entry; the others are kept, each once."""
    entry[hand] = wanted
    also = [one for one in entry.get(f"also_{hand}", []) if one != wanted]
    if also:
        entry[f"also_{hand}"] = also
    else:
        entry.pop(f"also_{hand}", None)


def _runs(kind: str, entry: Mapping[str, Any]) -> list[tuple[Key, str]]:
    named = entry.get("keys", [])
    keys = []
    for one in [named] if isinstance(named, str) else named:
        try:
            keys.append(parse_key(str(one), False))
        except ValueError:
            continue
    if kind != "scale":
        return [(key, str(entry.get("position", "root"))) for key in keys]
    asked = entry.get("forms")
    wanted = [asked] if isinstance(asked, str) else asked
    return [
        (key, form) for key in keys for form in scale_forms(key) if not wanted or form in wanted
    ]


def _divided(
    kind: str, entries: Any, entry: Any, runs: list[tuple[Key, str]], run: tuple[Key, str]
) -> Any:
    """An entry for ``run`` alone, with the fingerings it had; all other runs keep theirs."""
    fingers = {name: entry[name] for name in entry if name not in ("keys", "forms", "position")}
    for other in runs:
        if other[0] == run[0] and other != run:
            entries.append(_entry(kind, other, fingers))
    left = [key.ascii for key in dict.fromkeys(key for key, _ in runs) if key != run[0]]
    if left:
        entry["keys"] = left
        entries.append(_entry(kind, run, fingers))
        return entries[-1]
    entry["forms"] = [run[1]]
    return entry


def _entry(kind: str, run: tuple[Key, str], fingers: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    table["keys"] = [run[0].ascii]
    if kind == "scale":
        table["forms"] = [run[1]]
    elif run[1] != "root":
        table["position"] = run[1]
    for name, value in fingers.items():
        table[name] = value
    return table
