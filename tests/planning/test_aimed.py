"""Cells of a level, and sheets aimed at some of them."""

from __future__ import annotations

import pytest

from workbook.estimates.results import Cell
from workbook.exercises.families import FAMILIES
from workbook.fingering.conventions import traditional
from workbook.music.keys import parse_keys
from workbook.planning import dealing
from workbook.planning.aimed import CORRECTIONS, Target, aimed_plan
from workbook.planning.cells import cells
from workbook.record.identity import exercise_identity
from workbook.studio.roster import Row
from workbook.studio.templates import find, read_template

LEVELS = [f"level-{number:02}" for number in range(1, 11)]


def targets_of(chosen, ways):
    """A target for each cell, by the first of its choices."""
    return [Target(cell, ways[cell][0]) for cell in chosen]


def row_of(name):
    template = read_template(find(name))
    return Row("Pippa", template, template.keys, "Week", None, 0)


def skill_of(exercise):
    family = FAMILIES[exercise.family]
    return family.skill(exercise.settings, exercise.hand, exercise.scale_form)


def key_of(exercise):
    return exercise.key.ascii if FAMILIES[exercise.family].keyed else ""


@pytest.mark.parametrize("name", LEVELS)
def test_every_cell_can_be_set(name):
    row = row_of(name)
    ways = cells(row.template, row.keys)
    chosen = list(ways)[:: max(1, len(ways) // 40)]
    plan = aimed_plan(row, targets_of(chosen, ways), "seed", traditional())
    made = [Cell(skill_of(item.exercise), key_of(item.exercise)) for item in plan.items]
    assert set(made) == set(chosen) and len(made) == len(chosen)


@pytest.mark.parametrize("name", ["level-02", "level-05", "level-07", "review"])
def test_whatever_a_template_deals_is_one_of_its_cells(name):
    template = read_template(find(name))
    keys = template.keys or parse_keys("all")
    row = Row("Pippa", template, keys, "Week", None, 0)
    ways = cells(template, keys)
    for seed in "abc":
        for item in dealing.plan(row, seed).items:
            assert (skill_of(item.exercise), key_of(item.exercise)) in {
                (one.skill, one.key) for one in ways
            }


def test_corrections_come_first_then_the_order_of_the_template():
    row = row_of("level-05")
    ways = cells(row.template, row.keys)
    chosen = list(ways)[:20]
    targets = targets_of(chosen, ways)
    targets[7] = Target(targets[7].cell, targets[7].choice, correction=True)
    plan = aimed_plan(row, targets, "seed", traditional())
    assert plan.sections[0].title == CORRECTIONS and len(plan.sections[0].items) == 1
    order = [
        row.template.sections.index(s)
        for p in plan.sections[1:]
        for s in row.template.sections
        if s.family == p.items[0].exercise.family
    ][:1]
    assert order == sorted(order)
    assert [item.number for item in plan.items] == list(range(1, len(chosen) + 1))


def test_what_the_student_had_is_not_set_again_while_there_is_other_music():
    row = row_of("level-05")
    ways = cells(row.template, row.keys)
    cell = next(one for one in ways if one.skill.startswith("scale-repair"))
    targets = targets_of([cell], ways)
    had: set[str] = set()
    for _ in range(4):
        plan = aimed_plan(row, targets, "seed", traditional(), had=had)
        found = exercise_identity(plan.items[0].exercise)
        assert found not in had
        had.add(found)


def test_the_same_targets_give_the_same_plan():
    row = row_of("level-03")
    ways = cells(row.template, row.keys)
    targets = targets_of(list(ways)[:10], ways)
    first, second = (aimed_plan(row, targets, "seed", traditional()) for _ in range(2))
    assert first.code == second.code
    assert [i.exercise for i in first.items] == [i.exercise for i in second.items]
    assert aimed_plan(row, targets, "other", traditional()).code != first.code


def test_a_sheet_without_targets_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        aimed_plan(row_of("level-01"), [], "seed", traditional())
