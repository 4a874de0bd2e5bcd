"""Templates: the teacher's recipe for a workbook, read from TOML and checked whole.

In: a TOML file. Out: a ``Template``, or an ``InputError`` that names everything
wrong in the file at once, each problem with its line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.exercises.model import HANDS
from workbook.exercises.settings import Setting
from workbook.inputs.messages import fold, said, short, suggestion
from workbook.inputs.toml_table import Note, Table, in_order, key_lines, read_toml
from workbook.music.keys import Key, parse_keys
from workbook.music.naming import ENGLISH, LETTERS, STEPS, Naming
from workbook.resources import shipped

MOST_EXERCISES = 200
MOST_POINTS = 100
MOST_GIVEN = 30
MOST_LEDGER_LINES = 2

_TOP = ("title", "level", "instructions", "keys", "letters", "steps", "section")
_SECTION = ("title", "family", "hands", "clefs", "count", "ask", "given", "points", "ledger_lines")
CLEFS = {"treble": "right", "bass": "left", "both": "both"}
"""What a template calls the staves of families that are read and not played."""
_EITHER_MODE = (Key("C", "major"), Key("A", "minor"))


@dataclass(frozen=True)
class Section:
    """A part of a workbook: ``count`` exercises of one family.

    ``hands`` (right, left, both; for a clef the hand that reads it) and ``ask`` stand
    in the order of the template; ``given`` is how many blanks of each row are printed
    as help; ``points`` what one exercise is worth; ``settings`` pairs a setting of the
    family with the values allowed here, for those settings only that the template
    names; ``ledger_lines`` is the most that a note may need.
    """

    title: str
    family: str
    hands: tuple[str, ...]
    count: int
    ask: tuple[str, ...]
    given: int
    points: int
    settings: tuple[tuple[str, tuple], ...] = ()
    ledger_lines: int = MOST_LEDGER_LINES


@dataclass(frozen=True)
class Template:
    """A workbook's recipe; ``name`` is the file's, without ``.toml``.

    ``instructions`` has one line for each paragraph; it and ``level`` may be "".
    ``naming`` has the words for notes and steps; ``keys`` are those of rows whose
    own cell is empty, () for none.
    """

    name: str
    title: str
    instructions: str
    level: str
    sections: tuple[Section, ...]
    naming: Naming = ENGLISH
    keys: tuple[Key, ...] = ()


def available(folder: Path | str | None = None) -> dict[str, Path]:
    """The templates by name: the teacher's own folder first, then the shipped ones.

    A template of the teacher's hides a shipped one of the same name. Raises
    InputError if the teacher's folder cannot be listed.
    """
    found: dict[str, Path] = {}
    for place in ([Path(folder)] if folder is not None else []) + [shipped() / "workbooks"]:
        try:
            files = sorted(place.iterdir())
        except OSError as error:
            raise InputError(
                [
                    Problem(
                        place.name or str(place),
                        "",
                        f"the folder of templates cannot be read: {error.strerror or error}",
                    )
                ]
            ) from error
        for file in files:
            # A leading dot marks what the system put there, not the teacher.
            if file.suffix.lower() == ".toml" and not file.name.startswith("."):
                found.setdefault(unicodedata.normalize("NFC", file.stem), file)
    return found


def match(name: str, names: Iterable[str]) -> str:
    """The one of ``names`` that is meant; case and a final ``.toml`` do not matter.

    Raises ValueError with a sentence that lists what there is.
    """
    names = list(names)
    plain = re.sub(r"\.toml\Z", "", fold(name), flags=re.IGNORECASE)
    for same in (lambda n: n == plain, lambda n: n.casefold() == plain.casefold()):
        for known in filter(same, names):
            return known
    if not plain:
        raise ValueError(f"no template is named; write one of {', '.join(names)}")
    there = f"there is {', '.join(names)}" if names else "there are no templates"
    there += "; your own are found in the folder that --template-dir names"
    hint = suggestion(plain, names)
    raise ValueError(
        f'no template is named "{short(plain)}"; ' + (f"{hint} ({there})" if hint else there)
    )


def find(name: str, folder: Path | str | None = None) -> Path:
    """The file of the template called ``name``. Raises ValueError as ``match`` does."""
    files = available(folder)
    return files[match(name, files)]


def read_template(path: Path | str, families: Mapping[str, Family] = FAMILIES) -> Template:
    """The template in a file. Raises InputError with every problem of the file."""
    path = Path(path)
    problems: list[Problem] = []

    def note(line: int | None, what: str, instead: str = "") -> None:
        problems.append(
            Problem(
                path.name, f"line {line}" if line else "", what + (";" if instead else ""), instead
            )
        )

    found = read_toml(path, note, "start from a copy of a shipped template")
    template = found and _template(path, found[1], key_lines(found[0]), note, families)
    if problems:
        raise InputError(in_order(problems))
    return template


def _template(
    path: Path,
    data: dict,
    lines: dict[tuple[int, str], int],
    note: Note,
    families: Mapping[str, Family],
) -> Template:
    top = Table(data, note, lambda key: lines.get((-1, key)))
    for key in data:
        if key not in _TOP:
            top.wrong(
                key,
                f'unknown key "{short(key)}"',
                suggestion(key, _TOP) or f"the top of a template has {', '.join(_TOP[:3])}",
            )
    title, level = top.text("title"), top.text("level", "")
    instructions = top.text("instructions", "")
    naming = Naming(
        top.one("letters", LETTERS, ENGLISH.letters) or "",
        top.one("steps", STEPS, ENGLISH.steps) or "",
    )
    tables = data.get("section", [])
    if not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
        top.wrong(
            "section",
            "section is not a list of tables",
            "write [[section]], with two brackets, above each section",
        )
        tables = []
    elif not tables:
        note(None, "has no section", "write at least one [[section]] with its family")
    sections = []
    for index, values in enumerate(tables):

        def line(key: str, index: int = index) -> int | None:
            places = ((index, key), (index, ""), (-1, "section"))
            return next((lines[place] for place in places if place in lines), None)

        sections.append(_section(Table(values, note, line), families))
    return Template(
        unicodedata.normalize("NFC", path.stem),
        title,
        instructions,
        level,
        tuple(sections),
        naming,
        _keys(top),
    )


def _section(table: Table, families: Mapping[str, Family]) -> Section:
    family = families.get(table.one("family", tuple(families)))
    _unknown_keys(table, family, families)
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
    )
    if family and all(values for _, values in section.settings):
        _together(table, section, family)
    return section


def _setting(table: Table, key: str, allowed: Setting) -> tuple:
    """The values of a setting; those that are wrong are noted and left out."""
    if not allowed.check:
        return table.some(key, allowed.values)
    value, found = table.values[key], []
    values = value if isinstance(value, list) else [value]
    for one in values:
        try:
            allowed.check(one)
        except ValueError as error:
            for line in str(error).split("\n"):
                table.wrong(key, f"{key}: {line}")
        else:
            found.append(one)
    if not values:
        table.wrong(
            key, f"{key} is an empty list", f"write for example {said(allowed.values[0])}"
        )
    return tuple(dict.fromkeys(found))


def heading(section: Section, naming: Naming) -> str:
    """What stands over a section: the template's words, or the family's in those of the page."""
    own = section.title == FAMILIES[section.family].title
    return naming.title(section.title) if own else section.title


def worded(template: Template, letters: str | None, steps: str | None) -> Template:
    """The template with other words for notes or steps (see ``music.naming``), None for its own."""
    naming = template.naming
    return replace(template, naming=Naming(letters or naming.letters, steps or naming.steps))


def combinations(section: Section) -> Iterator[dict]:
    """Every choice of one value for each setting that a section names."""
    names = [name for name, _ in section.settings]
    for values in product(*(values for _, values in section.settings)):
        yield dict(zip(names, values))


def suits(section: Section, family: Family, key: Key) -> bool:
    """Whether some choice of the section's settings and hands can be made in a key."""
    return any(
        not family.problem(chosen, key, hand)
        for chosen in combinations(section)
        for hand in section.hands
    )


def _together(table: Table, section: Section, family: Family) -> None:
    """Notes settings and hands that go together in keys of neither mode."""
    found = {}
    for chosen in combinations(section):
        for hand in section.hands:
            wrong = [family.problem(chosen, key, hand) for key in _EITHER_MODE]
            if all(wrong):
                found.update(dict.fromkeys(wrong[:1]))
    for sentence in found:
        table.wrong(next((name for name, _ in section.settings), ""), sentence)


def _keys(top: Table) -> tuple[Key, ...]:
    text = top.text("keys", "")
    try:
        return parse_keys(text) if text else ()
    except ValueError as error:
        for line in str(error).split("\n"):
            top.wrong("keys", line)
        return ()


def _hands(table: Table, family: Family | None) -> tuple[str, ...]:
    """The staves that a section uses: asked as hands or clefs, as the family is."""
    by = family.by if family else "hand"
    asked = {"hand": "hands", "clef": "clefs"}.get(by)
    for key in ("hands", "clefs"):
        if family and key in table.values and key != asked:
            table.wrong(
                key,
                f"{family.name} has no {key}",
                f"write {asked}" if asked else "leave the line out",
            )
            return ("right",)
    if by == "clef":
        return tuple(CLEFS[clef] for clef in table.some("clefs", tuple(CLEFS)))
    return table.some("hands", HANDS) if by == "hand" else ("right",)


def _unknown_keys(table: Table, family: Family | None, families: Mapping[str, Family]) -> None:
    owners = {key: other.name for other in families.values() for key in other.settings}
    known = [*_SECTION, *(family.settings if family else owners)]
    for key in table.values:
        if key in known:
            continue
        if key in owners:
            table.wrong(
                key, f"{key} is no setting of {family.name}", f"it belongs to {owners[key]}"
            )
        else:
            table.wrong(
                key,
                f'unknown key "{short(key)}"',
                suggestion(key, known) or f"a section has {', '.join(known)}",
            )
