"""Templates changed section by section, with an example of each.

In: a studio, a template's name, new values of a section. Out: the template's text with these
values, an exercise as the section would set it, or the text saved among the studio's own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import tomlkit

from workbook.errors import InputError, OutputError, Problem
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.exercises.model import HANDS, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.exercises.wording import SIDE_WORDS
from workbook.fingering.conventions import Conventions, load, traditional
from workbook.inputs.messages import reason
from workbook.inputs.toml_table import text_of
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.studio.folder import TEMPLATES, Studio
from workbook.studio.template_model import Section, Template, combinations
from workbook.studio.templates import available, read_template
from workbook.typesetting.runs import unprintable
from workbook.weeks.toml_edits import checked, document, save

_WHOLE = ("count", "given", "points", "ledger_lines")
_CLEFS = ("treble", "bass", "both")
_YES, _NO = "yes", "no"


@dataclass(frozen=True)
class Choice:
    """A key of a section with the values it may have and those that are chosen, as text.

    ``title`` and ``words`` are what a page calls the key and each of its values. ``silent`` is the
    value that applies if none is chosen, "" for none. ``free`` says that teachers word the values
    themselves; ``values`` are examples then.
    """

    name: str
    title: str
    values: tuple[str, ...]
    words: tuple[str, ...]
    chosen: tuple[str, ...]
    about: str = ""
    silent: str = ""
    free: bool = False

    def ticked(self, values: Sequence[str]) -> tuple[str, ...]:
        """``values`` in the order of the template, new ones last; as typed if ``free``."""
        if self.free:
            return tuple(values)
        stay = [one for one in self.chosen if one in values]
        return (*stay, *(one for one in values if one not in stay))


def names(studio: Studio) -> dict[str, bool]:
    """The templates by name, and whether each is the studio's own. Raises InputError."""
    own = studio.folder / TEMPLATES
    found = available(studio.build.template_dir)
    return {name: file.parent == own for name, file in found.items()}


def text(studio: Studio, name: str) -> str:
    """The text of a template that ``names`` has. Raises InputError."""
    return text_of(available(studio.build.template_dir)[name])


def read(name: str, text: str) -> Template:
    """The template of a text. Raises InputError with every problem of it."""
    found: list[Template] = []

    def keep(file: Path) -> None:
        found.append(read_template(file, unprintable=unprintable))

    checked(text, f"{name}.toml", keep)
    return found[0]


def edited(name: str, text: str, section: int, values: Mapping[str, Sequence[str]]) -> str:
    """The text with other values in a section, counted from 0; everything else is kept.

    A key without a value is removed. Raises InputError if the text is not TOML or has no such
    section.
    """
    found = document(text, f"{name}.toml")
    try:
        table = found["section"][section]
        family = FAMILIES[str(table["family"])]
    except (KeyError, IndexError, TypeError):
        what = f"there is no section {section + 1};"
        raise InputError([Problem(f"{name}.toml", "", what, "choose another")]) from None
    for key, given in values.items():
        value = _value(family, key, [one.strip() for one in given if one.strip()])
        if value is None:
            table.pop(key, None)
        elif table.get(key) != value:
            _put(table, key, value)
    return tomlkit.dumps(found)


def _put(table: Any, key: str, value: Any) -> None:
    """Give a table a value; a new one goes before the comments above the next section."""
    after: list[Any] = []
    if isinstance(table, tomlkit.items.Table) and key not in table:
        body = table.value.body
        while body and body[-1][0] is None:
            after.insert(0, body.pop())
    table[key] = value
    if after:
        body.extend(after)


def keep(studio: Studio, name: str, text: str) -> None:
    """Save a text as the studio's own template; it overrides a built-in one of the same name.

    Raises InputError for a faulty template, OutputError.
    """
    read(name, text)
    folder = studio.folder / TEMPLATES
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"cannot write into {folder}: {reason(error)}") from None
    save(folder / f"{name}.toml", text)


def choices(section: Section) -> list[Choice]:
    """What a section may choose besides its title and its numbers."""
    family = FAMILIES[section.family]
    shown = ("at the head of the section",)
    found = [Choice("example", "Worked example", (_YES,), shown, (_YES,) * section.example)]
    if len(family.kinds) > 1:
        asked = tuple(kind.title for kind in family.kinds)
        found.append(Choice("ask", "Asked for", family.asks, asked, section.ask, silent="all"))
    if family.by:
        name, values = ("hands", HANDS) if family.by == "hand" else ("clefs", _CLEFS)
        side = dict(zip(HANDS, values))
        chosen = tuple(side[hand] for hand in section.hands)
        words = tuple(SIDE_WORDS[family.by][hand] for hand in HANDS)
        found.append(Choice(name, name.capitalize(), tuple(values), words, chosen))
    named = dict(section.settings)
    return found + [_choice(*item, named) for item in family.settings.items()]


def _choice(name: str, setting: Setting, named: Mapping[str, Sequence[Any]]) -> Choice:
    """A setting, with the values that a section names for it."""
    values = tuple(map(spoken, setting.values))
    return Choice(
        name,
        name.replace("_", " ").capitalize(),
        values,
        values,
        tuple(map(spoken, named.get(name, ()))),
        setting.about.replace("`", ""),
        "" if setting.default is None else spoken(setting.default),
        setting.check is not None,
    )


def example(studio: Studio, template: Template, section: int, seed: str = "1") -> Exercise:
    """An exercise as a section would set it, in the first key that suits it.

    Raises InputError if no key does.
    """
    one = template.sections[section]
    family = FAMILIES[one.family]
    for key in (*template.keys, *TWELVE_MAJOR, *TWELVE_MINOR):
        for settings in combinations(one):
            for hand in one.hands:
                if not family.problem(settings, key, hand):
                    request = Request(
                        key,
                        hand,
                        one.ask,
                        one.given,
                        one.ledger_lines,
                        settings,
                        template.naming,
                        fingering=fingerings(studio),
                    )
                    return family.make(request, Random(seed))
    what = f"no key suits the section {one.title};"
    raise InputError([Problem(f"{template.name}.toml", "", what, "choose other settings")])


def fingerings(studio: Studio) -> Conventions:
    """The fingerings of the studio. Raises InputError for a faulty file."""
    file = studio.build.fingering
    return load(file) if file else traditional()


def spoken(value: object) -> str:
    """A value as text: ``yes`` for true."""
    if isinstance(value, bool):
        return _YES if value else _NO
    return str(value)


def _value(family: Family, key: str, given: Sequence[str]) -> Any:
    """The value of a key from its texts; None if there is none."""
    if not given:
        return None
    values = [_meant(key, family.settings.get(key), one) for one in given]
    return values[0] if len(values) == 1 else values


def _meant(key: str, setting: Setting | None, text: str) -> Any:
    """The value that a text stands for; other text is reported by the reader."""
    if key in _WHOLE and text.isascii() and text.isdecimal():
        return int(text)
    known = (True, False) if key == "example" else setting.values if setting else ()
    for value in known:
        if text == spoken(value) or (isinstance(value, bool) and text == str(value).lower()):
            return value
    return text
