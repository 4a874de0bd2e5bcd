"""The families and the kinds of answer that their files declare, checked as they are imported."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from types import ModuleType

from workbook.exercises.answers import AnswerKind
from workbook.exercises.family import Family
from workbook.exercises.model import DRAWN
from workbook.exercises.settings import Setting, Settings


class FamilyError(Exception):
    """Declarations of families are wrong: a line for each thing, with family and file."""


def collect(modules: Iterable[ModuleType]) -> tuple[dict[str, Family], dict[str, AnswerKind]]:
    """The families of the modules by name, and all kinds of answer by name.

    Raises FamilyError with everything that is wrong in any of them.
    """
    families: dict[str, Family] = {}
    kinds: dict[str, AnswerKind] = {}
    files: dict[str, str] = {}
    wrong: list[str] = []
    for module in modules:
        file = Path(module.__file__ or module.__name__).name
        family = getattr(module, "FAMILY", None)
        if not isinstance(family, Family):
            wrong.append(f"{file} has no family; end it with FAMILY = Family(…)")
            continue
        found = list(_problems(family, file))
        if family.name in families:
            found.append(f"{files[family.name]} has a family of that name already")
        found += [
            f'another family declares "{kind.name}", which it asks, in another way'
            for kind in chain(family.kinds, family.others)
            if kinds.setdefault(kind.name, kind) != kind
        ]
        wrong += [f'family "{family.name}" in {file}: {sentence}' for sentence in found]
        families.setdefault(family.name, family)
        files.setdefault(family.name, file)
    if wrong:
        raise FamilyError("\n".join(wrong))
    return families, kinds


def _problems(family: Family, file: str) -> Iterator[str]:
    if family.name != Path(file).stem.replace("_", "-"):
        yield "the name is not that of its file, with hyphens for underscores"
    if not family.title.strip():
        yield "the title is missing"
    if family.by not in ("hand", "clef", ""):
        yield f'by is "{family.by}"; write "hand", "clef" or ""'
    if not family.kinds:
        yield "it asks nothing"
    if len(set(family.asks)) < len(family.asks):
        yield "it lists the same kind of answer twice"
    for kind in chain(family.kinds, family.others):
        yield from _kind_problems(kind)
    for name, setting in family.settings.items():
        yield from (f"{name}: {sentence}" for sentence in _setting_problems(name, setting))
        yield from _unknown_values(f"{name}: where", setting.where, family)
    yield from _unknown_values("no_staff", family.no_staff, family)


def _kind_problems(kind: AnswerKind) -> Iterator[str]:
    if kind.size is None and kind.name not in DRAWN:
        yield f'the box that asks "{kind.name}" has no size'
    if kind.size is not None and kind.name in DRAWN:
        yield f'"{kind.name}" is drawn on the music and has no box'
    if not kind.about:
        yield f'"{kind.name}" is not explained; say in about what its box is for'


def _setting_problems(name: str, setting: Setting) -> Iterator[str]:
    if not setting.values:
        yield "it has no values"
    if setting.default is not None and setting.default not in setting.values:
        yield f"the default {setting.default!r} is not among the values"
    if setting.skill and setting.default is None:
        yield "what is left to chance cannot be a skill"
    if setting.skill and not f"{name}{setting.values}".isascii():
        yield "the name of a skill is in ASCII"
    if setting.skill and any("/" in str(value) for value in setting.values):
        yield "the name of a skill has no slash"


def _unknown_values(what: str, condition: Settings, family: Family) -> Iterator[str]:
    for name, values in condition.items():
        known = family.settings.get(name)
        if known is None:
            yield f'{what} names "{name}", which is not a setting of the family'
        else:
            for value in values:
                if value not in known.values:
                    yield f"{what} names {value!r}, which is not a value of {name}"
