"""The TOML files of fingerings: entries are read, and checked singly and together.

In: a file such as ``templates/fingering/traditional.toml``, whose head describes the format.
Out: a table from what an entry is about to its fingerings.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Literal

from workbook.errors import InputError
from workbook.inputs.messages import quoted
from workbook.inputs.problem_log import ProblemLog
from workbook.inputs.suggestions import did_you_mean
from workbook.inputs.toml_table import TomlTable, key_lines, read_toml
from workbook.music.chords import POSITIONS, TRIAD_POSITIONS
from workbook.music.keys import Key, parse_key
from workbook.music.pitch import pitch, semitone
from workbook.music.scales import MINOR_FORMS, scale_forms

HANDS = ("right", "left")
_NOTE = re.compile("[A-Ga-g](?:#{0,2}|b{0,2})")
SHAPES = ("root", "1st", "2nd", "v7-root", "v7-third", "v7-seventh")
SEVENTHS = ("dominant", "diminished")

Subject = (
    tuple[Literal["scale", "arpeggio", "broken chord"], Key, str]
    | tuple[Literal["seventh", "seventh inversion"], str, int]
    | tuple[Literal["chord", "seventh chord"], str]
    | tuple[Literal["chromatic", "five-finger"]]
)
"""What an entry is about: ``("scale", key, form)``, ``("arpeggio", key, position)``,
``("broken chord", key, position)``,
``("seventh", kind, semitone)`` with the root's semitones above C (0 to 11), ``("seventh
inversion", position, semitone)`` for a dominant seventh that begins on another tone,
``("chord", shape)``, ``("seventh chord", position)``, ``("chromatic",)``, ``("five-finger",)``."""

Entries = dict[tuple[Subject, str], tuple[str, ...]]
"""From subject and hand to fingerings, the first choice first; a digit a note, low to high."""


def read_entries(path: Path) -> Entries:
    """The entries of a file. Raises InputError with every problem of the file."""
    log = ProblemLog(path.name, "line")
    found = read_toml(path, log, "write for example a [[scale]] with keys and right")
    entries = _entries(*found, log) if found else {}
    if log:
        raise InputError(log.problems)
    return entries


def _entries(text: str, data: dict[str, object], log: ProblemLog) -> Entries:
    entries: Entries = {}
    top = key_lines(text)
    for name, tables in data.items():
        line = top.get((-1, name))
        if name not in _KINDS:
            log.add(
                line,
                f"unknown key {quoted(name)}",
                did_you_mean(name, _KINDS) or f"a fingering file has {', '.join(_KINDS)}",
            )
        elif not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
            log.add(
                line,
                f"{name} is not a list of tables",
                f"write [[{name}]], with two brackets, above each entry",
            )
        else:
            lines = key_lines(text, name)
            for index, values in enumerate(tables):
                _entry(name, TomlTable(values, log, _line(lines, index)), entries)
    return entries


def _line(lines: dict[tuple[int, str], int], index: int) -> Callable[[str], int | None]:
    return lambda key: lines.get((index, key), lines.get((index, "")))


def _entry(kind: str, table: TomlTable, entries: Entries) -> None:
    subjects_of, own, length = _KINDS[kind]
    known = [*own, *HANDS, *(f"also_{hand}" for hand in HANDS)]
    for key in table.values:
        if key not in known:
            table.unknown(key, known, f"this entry has {', '.join(known)}")
    subjects = subjects_of(table)
    if not any(hand in table.values for hand in HANDS):
        table.wrong("", "neither right nor left is given", 'write for example right = "12345"')
    for hand in HANDS:
        fingerings = _fingerings(table, hand, length)
        for subject in subjects if fingerings else ():
            if (subject, hand) in entries:
                table.wrong(
                    hand,
                    f"{_describe(subject)}, {hand} hand, appears twice",
                    "keep one of the two",
                )
            entries[subject, hand] = fingerings


def _fingerings(table: TomlTable, hand: str, length: int) -> tuple[str, ...]:
    also = table.values.get(f"also_{hand}", [])
    if isinstance(also, list) and also and not table.has_values(f"also_{hand}", ""):
        also = []
    if not isinstance(also, list):
        table.wrong(f"also_{hand}", f"also_{hand} is {quoted(also)}", 'write a list: ["12345"]')
        also = []
    if hand not in table.values:
        if also:
            table.wrong(
                f"also_{hand}", f"also_{hand} is given without {hand}", f"write {hand} as well"
            )
        return ()
    found = [(hand, table.values[hand]), *((f"also_{hand}", value) for value in also)]
    return tuple(value for key, value in found if _sound(table, key, value, length))


def _sound(table: TomlTable, key: str, value: object, length: int) -> bool:
    if not isinstance(value, str) or not value or set(value) - set("12345"):
        table.wrong(
            key, f"{key} has {quoted(value)}", f'write {length} digits from 1 to 5 in "quotes"'
        )
    elif len(value) != length:
        table.wrong(
            key, f"{key} has {len(value)} digits", f"write {length}, from the lowest note up"
        )
    elif any(a == b for a, b in pairwise(value)):
        table.wrong(
            key, f"{key} has the same finger on two neighbouring notes", "give each its own"
        )
    else:
        return True
    return False


def _keys(table: TomlTable) -> list[Key]:
    if "keys" not in table.values:
        table.wrong("", '"keys" is missing', 'write for example keys = ["C major", "A minor"]')
        return []
    values = table.values["keys"]
    if not table.has_values("keys", 'write for example keys = ["C major", "A minor"]'):
        return []
    found: list[Key] = []
    for value in values if isinstance(values, list) else [values]:
        try:
            found.append(
                parse_key(value if isinstance(value, str) else quoted(value), table.suggests)
            )
        except ValueError as error:
            table.wrong("keys", str(error))
    return found


def _scales(table: TomlTable) -> list[Subject]:
    asked = table.some("forms", ("major", *MINOR_FORMS), ())
    found: list[Subject] = []
    for key in _keys(table):
        usable = [form for form in scale_forms(key) if not asked or form in asked]
        if not usable:
            table.wrong(
                "forms",
                f"{key} has no {' or '.join(asked)} form",
                f"write {' or '.join(scale_forms(key))}",
            )
        found += [("scale", key, form) for form in usable]
    return found


def _arpeggios(table: TomlTable) -> list[Subject]:
    return [("arpeggio", key, _position(table)) for key in _keys(table)]


def _broken_chords(table: TomlTable) -> list[Subject]:
    return [("broken chord", key, _position(table)) for key in _keys(table)]


def _position(table: TomlTable) -> str:
    return table.one("position", TRIAD_POSITIONS) if "position" in table.values else "root"


def _sevenths(table: TomlTable) -> list[Subject]:
    kind = table.one("kind", SEVENTHS)
    positions = POSITIONS if kind == "dominant" else POSITIONS[:1]
    position = table.one("position", positions) if "position" in table.values else "root"
    roots = table.values.get("roots")
    found: list[Subject] = []
    if roots is None:
        table.wrong("", '"roots" is missing', 'write for example roots = ["G", "Bb"]')
        return found
    if not table.has_values("roots", 'write for example roots = ["G", "Bb"]'):
        return found
    for value in roots if isinstance(roots, list) else [roots]:
        if isinstance(value, str) and _NOTE.fullmatch(value):
            place = semitone(pitch(f"{value}4")) % 12
            found.append(
                ("seventh", kind, place)
                if position == "root"
                else ("seventh inversion", position, place)
            )
        else:
            table.wrong(
                "roots", f"{quoted(value)} is not a note", 'write a note such as "F#" or "Bb"'
            )
    return found


def _chords(table: TomlTable) -> list[Subject]:
    shape = table.one("shape", SHAPES)
    return [("chord", shape)] if shape else []


def _seventh_chords(table: TomlTable) -> list[Subject]:
    position = table.one("position", POSITIONS)
    return [("seventh chord", position)] if position else []


_KINDS: dict[str, tuple[Callable[[TomlTable], list[Subject]], tuple[str, ...], int]] = {
    "scale": (_scales, ("keys", "forms"), 15),
    "arpeggio": (_arpeggios, ("keys", "position"), 7),
    "broken-chord": (_broken_chords, ("keys", "position"), 4),
    "seventh": (_sevenths, ("kind", "roots", "position"), 9),
    "chord": (_chords, ("shape",), 3),
    "seventh-chord": (_seventh_chords, ("position",), 4),
    "chromatic": (lambda _table: [("chromatic",)], (), 12),
    "five-finger": (lambda _table: [("five-finger",)], (), 5),
}
"""For each kind of entry: what finds its subjects, its own keys, its number of digits."""


def _describe(subject: Subject) -> str:
    """An entry for a message: ``"C major"``, ``"A minor, harmonic"``, ``"v7-third"``."""
    name, *parts = subject
    if name == "seventh":
        return f"a {parts[0]} seventh of this root"
    if name == "seventh inversion":
        return f"a dominant seventh of this root, {parts[0]} inversion"
    return ", ".join(str(part) for part in parts if part != "major") or f"the {name} pattern"
