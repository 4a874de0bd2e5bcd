"""What a template holds, and which exercises its sections allow.

In: values that ``templates`` has read and checked. Out: ``Template`` and ``Section``,
and the settings and keys that go together in them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from workbook.design import DEFAULT_HAND
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.music.keys import Key
from workbook.music.naming import ENGLISH, Naming
from workbook.studio.settings import RULES

MOST_LEDGER_LINES = 2


@dataclass(frozen=True)
class Section:
    """A part of a workbook: ``count`` exercises of one family.

    ``hands`` (right, left, both; for a clef, the hand that reads it) and ``ask`` are in
    the order of the template. ``given`` is how many blanks of each row are printed with
    their answers, as help; ``points`` what one exercise is worth. ``settings`` pairs
    each setting that the template names with the values it allows. ``ledger_lines`` is
    the most that a note may need. ``example`` asks for a worked example at the section's head.
    """

    title: str
    family: str
    hands: tuple[str, ...]
    count: int
    ask: tuple[str, ...]
    given: int
    points: int
    settings: tuple[tuple[str, tuple[Any, ...]], ...] = ()
    ledger_lines: int = MOST_LEDGER_LINES
    example: bool = False


@dataclass(frozen=True)
class Template:
    """A workbook's recipe; ``name`` is that of the file, without ``.toml``.

    ``instructions`` has one line for each paragraph; it and ``level`` may be "".
    ``naming`` has the words for notes and steps. ``keys`` are used for rows that name
    none; () if there are none here either. ``marking`` is one of RULES, ``hand`` a name in
    ``design.HAND_NAMES``: the hand that writes. ``exam`` tells a paper without help or hints.
    ``pages`` is the length of a weekly sheet, None for the whole workbook.
    """

    name: str
    title: str
    instructions: str
    level: str
    sections: tuple[Section, ...]
    naming: Naming = ENGLISH
    keys: tuple[Key, ...] = ()
    marking: str = RULES[0]
    hand: str = DEFAULT_HAND
    exam: bool = False
    pages: int | None = None


def without_help(template: Template) -> Template:
    """The template as an exam: no box is filled in, and the instructions give no hints.

    The instructions of a template for practice are left out, those of an exam stay.
    """
    return replace(
        template,
        sections=tuple(replace(section, given=0, example=False) for section in template.sections),
        instructions=template.instructions if template.exam else "",
        exam=True,
    )


def heading(section: Section, naming: Naming) -> str:
    """The heading of a section: the template's, or the family's in the words of the page."""
    family = FAMILIES[section.family]
    return family.title_in(naming) if section.title == family.title else section.title


def overridden(
    template: Template,
    letters: str | None,
    steps: str | None,
    marking: str | None = None,
    pages: int | None = None,
) -> Template:
    """The template with other words for notes and steps (see ``music.naming``), with another
    marking rule, or as a weekly sheet of so many pages.

    None leaves the template's own.
    """
    naming = template.naming
    return replace(
        template,
        naming=Naming(letters or naming.letters, steps or naming.steps),
        marking=marking or template.marking,
        pages=pages or template.pages,
    )


def combinations(section: Section) -> Iterator[dict[str, Any]]:
    """Every choice of one value for each setting that a section names."""
    names = [name for name, _ in section.settings]
    for values in product(*(values for _, values in section.settings)):
        yield dict(zip(names, values))


def suits(section: Section, family: Family, key: Key) -> bool:
    """Whether any of the section's settings and hands can be used in ``key``."""
    return any(
        not family.problem(chosen, key, hand)
        for chosen in combinations(section)
        for hand in section.hands
    )
