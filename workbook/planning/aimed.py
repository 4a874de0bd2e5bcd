"""A sheet aimed at chosen cells: its plan.

In: a row and the targets of the week. Out: a plan with a section for corrections, then one for
each section of the template that has something to do. The same targets and seed always give
the same plan.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from random import Random

from workbook.estimates.results import Cell
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import NO_KEY
from workbook.exercises.model import Exercise, Request
from workbook.fingering.conventions import Conventions
from workbook.music.keys import parse_key
from workbook.planning.cells import Choice
from workbook.planning.dealing import LETTERS, key_code, repeats
from workbook.planning.exercise_pool import ExercisePool, digest
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.record.identity import exercise_identity
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, heading

CORRECTIONS = "Corrections"
"""The title of the section with what was wrong last time."""
_TRIES, _ALIKE = 24, 8
"""The most exercises looked at for one that the student has not had, and after how many that are
all the same no more are looked at: a scale in one key without help is always the same.
"""


@dataclass(frozen=True)
class Target:
    """A cell to set, one exercise of it.

    ``correction`` puts it into the section of corrections. ``again`` is an exercise to set again,
    and ``source`` the key code and number that it had; without it a new one is made.
    """

    cell: Cell
    choice: Choice
    correction: bool = False
    again: Exercise | None = None
    source: tuple[str, int] = ("", 0)


def aimed_plan(
    row: Row,
    targets: Sequence[Target],
    seed: str,
    fingering: Conventions,
    pool: ExercisePool | None = None,
    had: Collection[str] = (),
) -> Plan:
    """The plan of a sheet with one exercise for each target.

    ``had`` has the identities of exercises that the student had (see ``record.identity``):
    they are not set again while others remain. Raises ValueError without targets.
    """
    if not targets:
        raise ValueError("a sheet needs at least one target")
    pool, seen = pool or ExercisePool(), set(had)
    by_heading = groups(row, targets)
    sections, number = [], 0
    for letter, (title, chosen) in zip(LETTERS, by_heading):
        items = []
        for target in chosen:
            number += 1
            section = row.template.sections[target.choice.section]
            name = digest(seed, target.cell.skill, target.cell.key)
            exercise = target.again or _fresh(
                row, section, target, Random(name), pool, seed, fingering, seen
            )
            items.append(Item(number, exercise, section.points))
        sections.append(PlannedSection(letter, title, tuple(items)))
    set_here = {parse_key(one.cell.key) for one in targets if one.cell.key}
    row = replace(row, keys=tuple(key for key in row.keys if key in set_here))
    found = repeats(
        [(p.letter, [exercise_identity(item.exercise) for item in p.items]) for p in sections], ()
    )
    code = key_code(row, seed, tuple(sections))
    return Plan(row, seed, tuple(sections), code, weekly=True, repeats=found)


def groups(row: Row, targets: Sequence[Target]) -> list[tuple[str, list[Target]]]:
    """The targets by heading: corrections first, then in the order of the template."""
    found = []
    corrections = [target for target in targets if target.correction]
    if corrections:
        found.append((CORRECTIONS, sorted(corrections, key=lambda one: one.choice.section)))
    for index, section in enumerate(row.template.sections):
        own = [one for one in targets if not one.correction and one.choice.section == index]
        if own:
            found.append((heading(section, row.template.naming), own))
    return found


def _fresh(
    row: Row,
    section: Section,
    target: Target,
    rng: Random,
    pool: ExercisePool,
    seed: str,
    fingering: Conventions,
    seen: set[str],
) -> Exercise:
    """An exercise of the target's cell, not in ``seen`` if possible."""
    family = FAMILIES[section.family]
    key = parse_key(target.cell.key) if target.cell.key else NO_KEY
    request = Request(
        key,
        target.choice.hand,
        section.ask,
        section.given,
        section.ledger_lines,
        dict(target.choice.settings),
        row.template.naming,
        fingering=fingering,
    )
    first = rng.randrange(_TRIES)
    had: set[str] = set()
    for turn in range(_TRIES):
        made = pool.exercise(seed, family.name, request, (first + turn) % _TRIES)
        identity = exercise_identity(made)
        if identity not in seen:
            break
        had.add(identity)
        if len(had) == 1 and turn + 1 == _ALIKE:
            break  # there is no other
    else:
        made = pool.exercise(seed, family.name, request, first)
    seen.add(exercise_identity(made))
    return made
