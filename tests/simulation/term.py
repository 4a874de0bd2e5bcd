"""A term of a class under a rule, and what is measured in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from zlib import crc32

import numpy as np

from tests.simulation.choosing import CELLS, COUNT, Ours, Rule
from tests.simulation.learners import BOXES, SKILLS, Learners, World
from workbook.estimates.calibration import calibration

WEEKS, EXERCISES = 12, 20
STUDIO = 25
"""So many learners are of one studio, whose log widens their bands (see ``calibration``)."""


@dataclass
class Term:
    """What came of a term, one number for each learner.

    ``exam`` is the share of right boxes, in points of 100, that the learner may expect in
    an exam over all cells; ``unmet`` the share of cells never met. The other lists are of our
    rule alone. ``excess`` is the mean square of the distance between what was likely and what
    was estimated of the next week's boxes, by the bands as they are, widened, and by the skill's
    mean; ``cover`` the share of these boxes inside the band. What ends in ``_at_exam`` is the
    same of all cells before the exam. ``widen`` is by how much bands were widened then.
    """

    exam: list[float] = field(default_factory=list)
    unmet: list[float] = field(default_factory=list)
    excess: list[float] = field(default_factory=list)
    excess_widened: list[float] = field(default_factory=list)
    excess_of_skill_mean: list[float] = field(default_factory=list)
    cover: list[float] = field(default_factory=list)
    cover_widened: list[float] = field(default_factory=list)
    excess_at_exam: list[float] = field(default_factory=list)
    excess_widened_at_exam: list[float] = field(default_factory=list)
    excess_of_skill_mean_at_exam: list[float] = field(default_factory=list)
    cover_at_exam: list[float] = field(default_factory=list)
    cover_widened_at_exam: list[float] = field(default_factory=list)
    widen: list[float] = field(default_factory=list)


def run(world: World, kind: type[Rule], seed: int, learners: int) -> Term:
    """A term of 12 weeks with 20 exercises a week; the same seed has the same learners."""
    rng = np.random.default_rng([seed, crc32(world.name.encode())])
    group = Learners(world, learners, rng)
    rules = [kind(EXERCISES, WEEKS) for _ in range(learners)]
    term = Term()
    logs = [_Log(rule) for rule in rules if isinstance(rule, Ours)]
    for week in range(WEEKS):
        widened = _widened(logs) or [1.0] * learners
        chosen = np.array([rule.choose(week, widen) for rule, widen in zip(rules, widened)])
        skill, key = chosen % len(SKILLS), chosen // len(SKILLS)
        truth = _flat(group.chance())
        if week:
            for one, cells, chances, widen in zip(logs, chosen, truth, widened):
                one.before(cells, chances, widen)
        right = group.answer(skill, key)
        boxes = BOXES[skill]
        for rule, *columns in zip(rules, chosen.tolist(), right.tolist(), boxes.tolist()):
            rule.marked(week, list(zip(*columns)))
        for one, *columns in zip(logs, chosen, right, boxes):
            one.after(*columns)
        group.rest()
    truth = _flat(group.chance())
    term.exam = (100 * truth.mean(axis=1)).tolist()
    term.unmet = [1 - len(rule.last) / COUNT for rule in rules]
    for one, chances, widen in zip(logs, truth, _widened(logs)):
        one.into(term, chances, widen)
    return term


def _flat(chances: np.ndarray) -> np.ndarray:
    """Learners × cells in the teacher's order."""
    return chances.transpose(0, 2, 1).reshape(len(chances), -1)


def _widened(logs: Sequence[_Log]) -> list[float]:
    """By how much each learner's bands are widened: by the log of the studio up to now."""
    found: list[float] = []
    for at in range(0, len(logs), STUDIO):
        studio = logs[at : at + STUDIO]
        widen = calibration([one for log in studio for one in log.rule.forecasts]).widen
        found += [widen] * len(studio)
    return found


class _Log:
    """What one learner's estimates were worth."""

    def __init__(self, rule: Ours):
        self.rule = rule
        self._right, self._boxes = np.zeros(len(SKILLS)), np.zeros(len(SKILLS))
        self._found, self._weights = [], []

    def before(self, cells, truth, widen):
        """The sheet of a week is set, and not marked yet."""
        self._found.append(self._worth(cells, truth[cells], widen))
        self._weights.append(BOXES[cells % len(SKILLS)])

    def after(self, cells, right, boxes):
        np.add.at(self._right, cells % len(SKILLS), right)
        np.add.at(self._boxes, cells % len(SKILLS), boxes)

    def into(self, term, truth, widen):
        """Add to the lists of a term, at its end."""
        self.rule.belief.wait(WEEKS)
        weights = np.concatenate(self._weights)
        weekly = np.average(np.hstack(self._found), axis=1, weights=weights)
        at_exam = self._worth(np.arange(COUNT), truth, widen).mean(axis=1)
        for found, when in ((weekly, ""), (at_exam, "_at_exam")):
            for name, one in zip(WORTH, found.tolist()):
                getattr(term, name + when).append(one)
        term.widen.append(widen)

    def _worth(self, cells, truth, widen):
        """The rows of ``WORTH`` for each cell."""
        mean, inside = self._told(cells, truth, 1.0)
        mean_widened, inside_widened = self._told(cells, truth, widen)
        by_skill = self._by_skill()[cells % len(SKILLS)]
        squares = [(one - truth) ** 2 for one in (mean, mean_widened, by_skill)]
        return np.array([*squares, inside, inside_widened])

    def _told(self, cells, truth, widen):
        """The estimates, and whether what is true is in the band."""
        found = self.rule.belief.estimates([CELLS[cell] for cell in cells], widen).values()
        mean, low, high = np.array([(one.mean, one.low, one.high) for one in found]).T
        return mean, (low <= truth) & (truth <= high)

    def _by_skill(self):
        """The share right in each skill so far, with four boxes of the usual share added."""
        whole = self._right.sum() / max(self._boxes.sum(), 1)
        return (self._right + 4 * whole) / (self._boxes + 4)


WORTH = ("excess", "excess_widened", "excess_of_skill_mean", "cover", "cover_widened")
