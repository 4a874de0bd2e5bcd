"""Templates: where they are, and how one is read from TOML and checked.

In: a TOML file. Out: a ``Template``, or an ``InputError`` with everything wrong in the
file at once, each problem with its line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from workbook.design import DEFAULT_HAND, HAND_NAMES
from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.exercises.model import HANDS as PLAYERS
from workbook.exercises.settings import Setting
from workbook.inputs.files import impossible
from workbook.inputs.messages import fold, quoted, reason
from workbook.inputs.printable import Unprintable, nothing
from workbook.inputs.problem_log import ProblemLog
from workbook.inputs.suggestions import did_you_mean
from workbook.inputs.toml_table import TomlTable, key_lines, read_toml
from workbook.music.keys import Key, parse_keys
from workbook.music.naming import ENGLISH, LETTERS, STEPS, Naming
from workbook.resources import shipped
from workbook.studio.settings import MOST_PAGES, RULES
from workbook.studio.template_model import (
    MOST_LEDGER_LINES,
    Section,
    Template,
    combinations,
    without_help,
)

MOST_EXERCISES = 200
MOST_POINTS = 100
MOST_GIVEN = 30
MOST_SECTIONS = 100
MOST_IN_ALL = 2_000
"""The exercises of a whole workbook."""
MOST_INSTRUCTIONS = 1_000
MOST_KEYS = 2_000
"""Characters of the instructions, and of a list of keys."""

_TEMPLATE_KEYS = (
    "title",
    "level",
    "instructions",
    "keys",
    "letters",
    "steps",
    "marking",
    "hand",
    "exam",
    "pages",
    "section",
)
_SECTION_KEYS = (
    "example",
    "title",
    "family",
    "hands",
    "clefs",
    "count",
    "ask",
    "given",
    "points",
    "ledger_lines",
)
_HAND_OF_CLEF = {"treble": "right", "bass": "left", "both": "both"}
"""For families that are read, not played: the staves, and the hands that stand for them."""
_A_KEY_OF_EACH_MODE = (Key("C", "major"), Key("A", "minor"))


def available(folder: Path | str | None = None) -> dict[str, Path]:
    """The templates by name: those in the teacher's own ``folder`` first, then the built-in ones.

    A template of the teacher's overrides a built-in one of the same name. Raises InputError
    if the teacher's folder cannot be read.
    """
    found: dict[str, Path] = {}
    for place in ([Path(folder)] if folder is not None else []) + [shipped() / "workbooks"]:
        for file in _listed(place):
            # A leading dot marks what the system put there, not the teacher.
            if file.suffix.lower() == ".toml" and not file.name.startswith("."):
                found.setdefault(unicodedata.normalize("NFC", file.stem), file)
    return found


def _listed(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())
    except OSError as error:
        why = reason(error)
    except ValueError:
        why = impossible(folder)
    what = f"the folder of templates cannot be read: {why}"
    raise InputError([Problem(folder.name or str(folder), "", what)])


def match(name: str, names: Iterable[str], suggest: bool = True) -> str:
    """The one of ``names`` that is meant; case and a final ``.toml`` do not matter.

    Raises ValueError with a sentence that lists them all, and if ``suggest``, the likely one.
    """
    names = list(names)
    plain = re.sub(r"\.toml\Z", "", fold(name), flags=re.IGNORECASE)
    for known in (*(n for n in names if n == plain), *names):
        if known.casefold() == plain.casefold():
            return known
    if not plain:
        told = f"write one of {', '.join(names)}" if names else "there are none"
        raise ValueError(f"no template is named; {told}")
    listed = f"the templates are {', '.join(names)}" if names else "there are no templates"
    listed += "; name the folder of your own with --template-dir"
    hint = did_you_mean(plain, names) if suggest else ""
    raise ValueError(
        f"there is no template {quoted(plain)}; " + (f"{hint} ({listed})" if hint else listed)
    )


def find(name: str, folder: Path | str | None = None) -> Path:
    """The file of the template called ``name``; case and a final ``.toml`` do not matter.

    Raises ValueError as ``match`` does, and InputError as ``available`` does.
    """
    files = available(folder)
    return files[match(name, files)]


def read_template(
    path: Path | str,
    families: Mapping[str, Family] = FAMILIES,
    unprintable: Unprintable = nothing,
) -> Template:
    """The template in a file, whose texts have no character that ``unprintable`` finds.

    Raises InputError with every problem of the file.
    """
    path = Path(path)
    log = ProblemLog(path.name, "line")
    found = read_toml(path, log, "start from a copy of a built-in template")
    template = found and _template(path, found[1], key_lines(found[0]), log, families, unprintable)
    if log or not template:
        raise InputError(log.problems)
    return template


def _template(
    path: Path,
    data: dict[str, Any],
    lines: dict[tuple[int, str], int],
    log: ProblemLog,
    families: Mapping[str, Family],
    unprintable: Unprintable,
) -> Template:
    top = TomlTable(data, log, lambda key: lines.get((-1, key)), unprintable)
    for key in data:
        if key not in _TEMPLATE_KEYS:
            listed = ", ".join(_TEMPLATE_KEYS[:-1])
            top.unknown(key, _TEMPLATE_KEYS, f"the top of a template may have {listed}")
    sections = []
    for index, values in enumerate(_section_tables(top, log)):

        def line(key: str, index: int = index) -> int | None:
            places = ((index, key), (index, ""), (-1, "section"))
            return next((lines[place] for place in places if place in lines), None)

        sections.append(_section(TomlTable(values, log, line, unprintable), families))
    in_all = sum(section.count for section in sections)
    if in_all > MOST_IN_ALL:
        what = f"has {in_all:,} exercises in all"
        log.add(None, what, f"write at most {MOST_IN_ALL:,}, and make several workbooks")
    template = Template(
        name=unicodedata.normalize("NFC", path.stem),
        title=top.text("title"),
        instructions=top.text("instructions", "", MOST_INSTRUCTIONS),
        level=top.text("level", ""),
        sections=tuple(sections),
        naming=Naming(
            top.one("letters", LETTERS, ENGLISH.letters) or "",
            top.one("steps", STEPS, ENGLISH.steps) or "",
        ),
        keys=_keys(top),
        marking=top.one("marking", RULES, RULES[0]) or RULES[0],
        hand=top.one("hand", HAND_NAMES, DEFAULT_HAND) or DEFAULT_HAND,
        exam=bool(top.one("exam", (True, False), False)),
        pages=top.whole("pages", 1, MOST_PAGES) if "pages" in top.values else None,
    )
    return without_help(template) if template.exam else template


def _section_tables(top: TomlTable, log: ProblemLog) -> list[dict[str, Any]]:
    tables = top.values.get("section", [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        right = "write [[section]], with two brackets, above each section"
        top.wrong("section", "section is not a list of sections", right)
        return []
    if not tables:
        log.add(None, "has no section", "write at least one [[section]] with its family")
    if len(tables) > MOST_SECTIONS:
        what = f"has {len(tables):,} sections"
        log.add(None, what, f"write at most {MOST_SECTIONS}, and make several templates")
        return []
    return tables


def _section(table: TomlTable, families: Mapping[str, Family]) -> Section:
    family = families.get(table.one("family", tuple(families)))
    _check_keys(table, family, families)
    # What only a family can judge waits until the family is right.
    settings = family.settings if family else {}
    section = Section(
        title=table.text("title", family.title if family else ""),
        family=family.name if family else "",
        hands=_hands(table, family),
        count=table.whole("count", 1, MOST_EXERCISES),
        ask=table.some("ask", family.asks, family.asks) if family else (),
        given=table.whole("given", 0, MOST_GIVEN, 0),
        points=table.whole("points", 0, MOST_POINTS),
        settings=tuple(
            (key, _setting(table, key, allowed))
            for key, allowed in settings.items()
            if key in table.values
        ),
        ledger_lines=table.whole("ledger_lines", 0, MOST_LEDGER_LINES, MOST_LEDGER_LINES),
        example=bool(table.one("example", (True, False), False)),
    )
    if family and all(values for _, values in section.settings):
        _check_combinations(table, section, family)
    return section


def _setting(table: TomlTable, key: str, allowed: Setting) -> tuple[Any, ...]:
    """The values of a setting; those that are wrong are recorded and left out."""
    if not allowed.check:
        return table.some(key, allowed.values)
    value, found = table.values[key], []
    values = value if isinstance(value, list) else [value]
    if not table.has_values(key, f"write for example {quoted(allowed.values[0])}"):
        return ()
    for one in values:
        try:
            allowed.check(one)
        except ValueError as error:
            for line in str(error).split("\n"):
                table.wrong(key, f"{key}: {line}")
        else:
            found.append(one)
    return tuple(dict.fromkeys(found))


def _check_combinations(table: TomlTable, section: Section, family: Family) -> None:
    """Record which settings and hands go together in no key, major or minor."""
    found: dict[str, None] = {}
    for chosen in combinations(section):
        for hand in section.hands:
            wrong = [family.problem(chosen, key, hand) for key in _A_KEY_OF_EACH_MODE]
            if all(wrong):
                found.setdefault(wrong[0])
    for sentence in found:
        table.wrong(next((name for name, _ in section.settings), ""), sentence)


def _keys(top: TomlTable) -> tuple[Key, ...]:
    if isinstance(top.values.get("keys"), list):
        right = 'write them in one text, as in "C major; A minor"'
        top.wrong("keys", f"keys is {quoted(top.values['keys'])}", right)
        return ()
    text = top.text("keys", "", MOST_KEYS)
    try:
        return parse_keys(text) if text else ()
    except ValueError as error:
        for line in str(error).split("\n"):
            top.wrong("keys", line)
        return ()


def _hands(table: TomlTable, family: Family | None) -> tuple[str, ...]:
    """The hands of a section, or those that stand for its clefs, as the family needs."""
    by = family.by if family else "hand"
    wanted = {"hand": "hands", "clef": "clefs"}.get(by)
    for key in ("hands", "clefs"):
        if family and key in table.values and key != wanted:
            right = f"write {wanted}" if wanted else "leave the line out"
            table.wrong(key, f"{family.name} has no {key}", right)
            return ("right",)
    if by == "clef":
        return tuple(_HAND_OF_CLEF[clef] for clef in table.some("clefs", tuple(_HAND_OF_CLEF)))
    return table.some("hands", PLAYERS) if by == "hand" else ("right",)


def _check_keys(table: TomlTable, family: Family | None, families: Mapping[str, Family]) -> None:
    """Record the keys of a section that neither sections nor its family have."""
    owners = {key: other.name for other in families.values() for key in other.settings}
    known = [*_SECTION_KEYS, *(family.settings if family else owners)]
    for key in table.values:
        if key in known:
            continue
        if family and key in owners:
            what = f"{key} is not a setting of {family.name}"
            table.wrong(key, what, f"it belongs to {owners[key]}")
        else:
            table.unknown(key, known, f"a section may have {', '.join(known)}")
