"""What a teacher may go by in choosing next week's exercises: three rules by hand, and ours.

A rule sees one learner's marks and gives cells (numbers in teacher's order: key by key,
every skill).
"""

from __future__ import annotations

from tests.simulation.learners import FLOORS, KEYS, SKILLS
from workbook.estimates.belief import Belief
from workbook.estimates.calibration import Forecast
from workbook.estimates.results import Cell, Result
from workbook.planning.aim import Mistake, aim

CELLS = [Cell(skill, key.ascii) for key in KEYS for skill in SKILLS]
COUNT = len(CELLS)


class Rule:
    """A rule at work for one learner. ``last`` has right and boxes of every cell met."""

    name = ""

    def __init__(self, exercises: int, weeks: int):
        self.exercises, self.weeks = exercises, weeks
        self.last: dict[int, tuple[int, int]] = {}

    def choose(self, week: int, widen: float = 1.0) -> list[int]:
        """The cells of the week's sheet; ``widen`` is by how much the studio's bands are wider."""
        raise NotImplementedError

    def marked(self, week: int, marks: list[tuple[int, int, int]]) -> None:
        """Cell, right and boxes of each exercise."""
        for cell, right, boxes in marks:
            self.last[cell] = right, boxes

    def worst(self) -> list[int]:
        """Cells met in which something was wrong last time, the worst first."""
        share = {cell: right / boxes for cell, (right, boxes) in self.last.items()}
        return sorted((cell for cell in share if share[cell] < 1), key=share.__getitem__)


class KeysInTurn(Rule):
    """Every skill in one key after another, round and round."""

    name = "keys in turn"

    def choose(self, week: int, widen: float = 1.0) -> list[int]:
        start = week * self.exercises
        return [(start + i) % COUNT for i in range(self.exercises)]


class TwoNewKeys(Rule):
    """Two new keys a week; the other exercises repeat earlier keys, in turn."""

    name = "two new keys a week"

    def __init__(self, exercises: int, weeks: int):
        super().__init__(exercises, weeks)
        self.turn = 0

    def choose(self, week: int, widen: float = 1.0) -> list[int]:
        most = 2 * len(SKILLS)
        start = week * most
        new = list(range(start, min(start + most, COUNT)))[: self.exercises]
        earlier = min(start, COUNT) or len(new)
        rest = []
        for _ in range(self.exercises - len(new)):
            rest.append(self.turn % earlier)
            self.turn += 1
        return new + rest


class MostWrong(Rule):
    """What went worst comes again, up to three quarters of the sheet; the rest is new."""

    name = "most wrong first"

    def choose(self, week: int, widen: float = 1.0) -> list[int]:
        again = self.worst()[: self.exercises * 3 // 4]
        new = [cell for cell in range(COUNT) if cell not in self.last]
        found = again + new[: self.exercises - len(again)]
        more = sorted(set(self.last) - set(found), key=lambda c: self.last[c][0] / self.last[c][1])
        return (found + more)[: self.exercises]


class Ours(Rule):
    """The rule of ``workbook.planning.aim``, and what was forecast of every exercise."""

    name = "our rule"

    def __init__(self, exercises: int, weeks: int):
        super().__init__(exercises, weeks)
        self.belief = Belief(CELLS)
        self.forecasts: list[Forecast] = []
        self.place = {cell: number for number, cell in enumerate(CELLS)}
        self.wrong: list[Mistake] = []
        self.recent: list[Cell] = []

    def choose(self, week: int, widen: float = 1.0) -> list[int]:
        self.belief.wait(week)
        found = aim(
            CELLS,
            self.belief.estimates(widen=widen),
            self.exercises,
            self.weeks - week,
            self.wrong,
            self.recent,
        )
        return [self.place[one.cell] for one in found]

    def marked(self, week: int, marks: list[tuple[int, int, int]]) -> None:
        super().marked(week, marks)
        self.recent = [CELLS[cell] for cell, _, _ in marks]
        self.wrong = [Mistake(CELLS[c], right, boxes) for c, right, boxes in marks if right < boxes]
        results = [
            Result(week, CELLS[c], right, boxes, float(FLOORS[c % len(SKILLS)]))
            for c, right, boxes in marks
        ]
        found = self.belief.logits([one.cell for one in results])
        self.forecasts += [
            Forecast(mean, variance, one.floor, one.right, one.boxes)
            for mean, variance, one in zip(*(part.tolist() for part in found), results)
        ]
        self.belief.learn(results)


RULES: tuple[type[Rule], ...] = (KeysInTurn, TwoNewKeys, MostWrong, Ours)
