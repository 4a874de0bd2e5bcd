"""A term of a class under a rule, and what is measured in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from zlib import crc32

import numpy as np

from tests.simulation.choosing import CELLS, COUNT, Ours, Rule
from tests.simulation.learners import BOXES, SKILLS, Learners, World

WEEKS, EXERCISES = 12, 20


@dataclass
class Term:
    """What came of a term, one number for each learner.

    ``exam`` is the share of right boxes, in points of 100, that the learner may expect in
    an exam over all cells; ``unmet`` the share of cells never met. The other lists are of our
    rule alone: squared distances between what was likely and what was
    estimated, of the next week's boxes, by the estimates, by the skill's mean and by the
    learner's mean; the same of all cells before the exam; and the share of the next
    week's and of all cells inside the band.
    """

    exam: list[float] = field(default_factory=list)
    unmet: list[float] = field(default_factory=list)
    excess: list[float] = field(default_factory=list)
    excess_of_skill_mean: list[float] = field(default_factory=list)
    excess_at_exam: list[float] = field(default_factory=list)
    excess_at_exam_of_skill_mean: list[float] = field(default_factory=list)
    cover: list[float] = field(default_factory=list)
    cover_at_exam: list[float] = field(default_factory=list)


def run(world: World, kind: type[Rule], seed: int, learners: int) -> Term:
    """A term of 12 weeks with 24 exercises a week; the same seed has the same learners."""
    rng = np.random.default_rng([seed, crc32(world.name.encode())])
    group = Learners(world, learners, rng)
    rules = [kind(EXERCISES, WEEKS) for _ in range(learners)]
    term = Term()
    log = [_Log() for _ in range(learners)]
    for week in range(WEEKS):
        chosen = np.array([rule.choose(week) for rule in rules])
        skill, key = chosen % len(SKILLS), chosen // len(SKILLS)
        truth = _flat(group.chance())
        if kind is Ours:
            for one, rule, cells, chances in zip(log, rules, chosen, truth):
                one.before(week, rule, cells, chances)
        right = group.answer(skill, key)
        boxes = BOXES[skill]
        for rule, *columns in zip(rules, chosen.tolist(), right.tolist(), boxes.tolist()):
            rule.marked(week, list(zip(*columns)))
        for one, *columns in zip(log, chosen, right, boxes):
            one.after(*columns)
        group.rest()
    truth = _flat(group.chance())
    term.exam = (100 * truth.mean(axis=1)).tolist()
    term.unmet = [1 - len(rule.last) / COUNT for rule in rules]
    if kind is Ours:
        for one, rule, chances in zip(log, rules, truth):
            one.exam(rule, chances)
            one.into(term)
    return term


def _flat(chances: np.ndarray) -> np.ndarray:
    """Learners × cells in the teacher's order."""
    return chances.transpose(0, 2, 1).reshape(len(chances), -1)


class _Log:
    """What one learner's estimates were worth."""

    def __init__(self):
        self._right, self._boxes = np.zeros(len(SKILLS)), np.zeros(len(SKILLS))
        self._ours, self._mean, self._inside, self._weights = [], [], [], []
        self._exam = ()

    def before(self, week, rule, cells, truth):
        if week == 0:
            return
        mean, low, high = _numbers(rule, cells)
        skills = cells % len(SKILLS)
        weights = BOXES[skills]
        self._weights.append(weights)
        self._ours.append(weights * (mean - truth[cells]) ** 2)
        self._mean.append(weights * (self._by_skill()[skills] - truth[cells]) ** 2)
        self._inside.append(weights * ((low <= truth[cells]) & (truth[cells] <= high)))

    def after(self, cells, right, boxes):
        np.add.at(self._right, cells % len(SKILLS), right)
        np.add.at(self._boxes, cells % len(SKILLS), boxes)

    def exam(self, rule, truth):
        rule.belief.wait(WEEKS)
        rule.estimates = rule.belief.estimates()
        mean, low, high = _numbers(rule, range(COUNT))
        by_skill = np.tile(self._by_skill(), COUNT // len(SKILLS))
        inside = (low <= truth) & (truth <= high)
        self._exam = ((mean - truth) ** 2).mean(), ((by_skill - truth) ** 2).mean(), inside.mean()

    def into(self, term):
        weights = np.sum(self._weights)
        term.excess.append(np.sum(self._ours) / weights)
        term.excess_of_skill_mean.append(np.sum(self._mean) / weights)
        term.cover.append(np.sum(self._inside) / weights)
        ours, mean, inside = self._exam
        term.excess_at_exam.append(ours)
        term.excess_at_exam_of_skill_mean.append(mean)
        term.cover_at_exam.append(inside)

    def _by_skill(self):
        """The share right in each skill so far, with two boxes of two thirds added."""
        whole = self._right.sum() / max(self._boxes.sum(), 1)
        return (self._right + 4 * whole) / (self._boxes + 4)


def _numbers(rule, cells):
    found = [rule.estimates[CELLS[cell]] for cell in cells]
    return np.array([(one.mean, one.low, one.high) for one in found]).T
