"""A small sample of the simulation; ``python -m tests.simulation`` runs all of it."""

import numpy as np
import pytest

from tests.simulation.choosing import CELLS, RULES, KeysInTurn, MostWrong, Ours
from tests.simulation.learners import BOXES, FLOORS, KEYS, SKILLS, WORLDS, Learners, World
from tests.simulation.report import gain, gather, lines
from tests.simulation.term import run

DEFAULT = WORLDS[0]


@pytest.fixture(scope="module")
def found():
    return gather(24, 1, workers=1, worlds=[DEFAULT])


def test_our_rule_meets_every_cell_and_is_best(found):
    assert not any(found["default", Ours.name].unmet)
    _, more, half = gain(found, "default")
    assert more - half > 1


def test_the_estimates_are_near_the_truth(found):
    term = found["default", Ours.name]
    assert np.mean(term.excess_at_exam) < 0.008
    assert np.mean(term.excess) < np.mean(term.excess_of_skill_mean)
    assert 0.75 < np.mean(term.cover) < 0.95
    assert 0.75 < np.mean(term.cover_at_exam) < 0.95


def test_the_table_has_every_rule(found):
    text = "\n".join(lines(found))
    assert all(rule.name in text for rule in RULES)


def test_most_wrong_first_leaves_cells_unmet(found):
    assert np.mean(found["default", MostWrong.name].unmet) > 0.05


def test_the_same_seed_has_the_same_learners():
    assert run(DEFAULT, KeysInTurn, 7, 5).exam == run(DEFAULT, KeysInTurn, 7, 5).exam
    assert run(DEFAULT, KeysInTurn, 7, 5).exam != run(DEFAULT, KeysInTurn, 8, 5).exam


def test_learners_learn_what_they_do_and_forget_it():
    group = Learners(World("test", transfer=0, across=0), 300, np.random.default_rng(1))
    before = group.chance()
    group.answer(np.full((300, 1), 2), np.full((300, 1), 4))
    after = group.chance()
    moved = (after - before).mean(axis=0)
    assert moved[2, 4] > 0.02 and np.count_nonzero(moved) == 1
    group.rest()
    assert 0 < (after - group.chance()).mean(axis=0)[2, 4] < moved[2, 4]


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_answers_come_true_as_often_as_the_chances_say(world):
    group = Learners(world, 4000, np.random.default_rng(2))
    skill, key = np.full((4000, 1), 1), np.full((4000, 1), 12)
    wanted = group.chance()[:, 1, 12].mean()
    share = group.answer(skill, key).mean() / BOXES[1]
    assert share == pytest.approx(wanted, abs=0.01)


def test_cells_are_in_the_teachers_order():
    assert len(CELLS) == len(KEYS) * len(SKILLS) and len(FLOORS) == len(BOXES) == len(SKILLS)
    assert [key.ascii for key in KEYS[:5]] == [
        "C major",
        "A minor",
        "G major",
        "E minor",
        "F major",
    ]
