"""Invented learners: what they know, how they answer, learn and forget.

None of this comes from the estimates' code. A learner knows a cell by a sum of ability, skill,
key and chance. An exercise that comes back marked teaches what was wrong in it: the gain is in
proportion to what the learner does not know, so it shrinks by itself as practice goes on.
It spreads to near keys and to the same key in other skills, and fades. In one
world, practice teaches the same whether right or wrong, by the power law of practice; in
another, a cell is either known or not.

All arrays are learners × skills × keys.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR

# the usual order of study: by the number of signs, sharps before flats, each key
# before its relative minor (common practice, no source)
KEYS = sorted(TWELVE_MAJOR + TWELVE_MINOR, key=lambda k: (abs(k.fifths), k.fifths < 0, k.minor))
SKILLS = (
    "scale-fingering/left",
    "scale-fingering/right",
    "inversions/left",
    "inversions/right",
    "progression/both",
    "interval-building/treble",
)
FLOORS = np.array([0.25, 0.25, 0.25, 0.25, 0.2, 0.1])
BOXES = np.array([8, 8, 9, 9, 5, 4])


@dataclass(frozen=True)
class World:
    """How learners are. ``transfer`` is the part of practice that reaches the next key on the
    circle of fifths, ``across`` that which reaches another skill of the same key; ``fading``
    the part of what was learnt that is lost in a week. ``gain`` is what the first exercise adds
    to the logit of a cell of which nothing is known."""

    name: str
    transfer: float = 0.15
    across: float = 0.05
    fading: float = 0.05
    all_or_none: bool = False
    by_practice: bool = False
    ability: float = 0.8
    skill: float = 0.7
    key: float = 0.5
    own: float = 0.6
    gain: float = 1.0
    earlier: float = 1.5
    exercise: float = 0.5


WORLDS = (
    World("default"),
    World("no transfer", transfer=0.0, across=0.0),
    World("strong transfer", transfer=0.4, across=0.2),
    World("no forgetting", fading=0.0),
    World("practice alone", by_practice=True),
    World("all or none", all_or_none=True),
)


def _steps() -> np.ndarray:
    """How many fifths lie between two keys; a key and its relative are half a fifth apart."""
    apart = np.empty((len(KEYS), len(KEYS)))
    for i, one in enumerate(KEYS):
        for j, other in enumerate(KEYS):
            way = (one.fifths - other.fifths) % 12
            apart[i, j] = min(way, 12 - way) + 0.5 * (one.mode != other.mode)
    return apart


STEPS = _steps()


class Learners:
    """A class of learners in a world."""

    def __init__(self, world: World, count: int, rng: np.random.Generator):
        self.world, self._rng = world, rng
        shape = (count, len(SKILLS), len(KEYS))
        signs = np.array([abs(key.fifths) for key in KEYS])
        difficulty = -0.15 * signs + 0.2 * rng.standard_normal(len(KEYS))
        # neighbours on the circle share a learner's luck with keys: a moving mean
        near = np.clip(1 - STEPS / 3, 0, None)
        near /= np.sqrt((near**2).sum(axis=1, keepdims=True))
        keys = rng.standard_normal((count, len(KEYS))) @ near.T
        self.start = (
            0.0
            + world.ability * rng.standard_normal((count, 1, 1))
            + world.skill * rng.standard_normal((count, len(SKILLS), 1))
            + difficulty
            + world.key * keys[:, None, :]
            + world.own * rng.standard_t(5, shape) / np.sqrt(5 / 3)
            + world.earlier * self._earlier(count)
        )
        self.practice = np.zeros(shape)
        self.learnt = np.zeros(shape)
        self._spread = np.where(STEPS > 0, world.transfer ** np.maximum(STEPS, 0.5), 1.0)
        self._spread[STEPS > 3] = 0.0
        self.known = rng.random(shape) < 1 / (1 + np.exp(-(self.start - 0.8)))

    def _earlier(self, count: int) -> np.ndarray:
        """1 in the keys of earlier levels: of each learner, the first 2 to 14 in the order."""
        known = self._rng.integers(2, 15, count)
        return (np.arange(len(KEYS)) < known[:, None]).astype(float)[:, None, :]

    def chance(self) -> np.ndarray:
        """How likely the next box is right, over exercises."""
        return self._right(self._logit()) if not self.world.all_or_none else self._all_or_none()

    def answer(self, skill: np.ndarray, key: np.ndarray) -> np.ndarray:
        """Right boxes of one exercise for each learner, cells × learners; then they learn."""
        everyone = np.arange(len(self.start))[:, None]
        boxes, floor = BOXES[skill], FLOORS[skill]
        if self.world.all_or_none:
            right = self._rng.binomial(boxes, self._all_or_none()[everyone, skill, key])
        else:
            luck = self.world.exercise * self._rng.standard_normal(skill.shape)
            logit = self._logit()[everyone, skill, key] + luck
            right = self._rng.binomial(boxes, floor + (1 - floor) / (1 + np.exp(-logit)))
        self._learn(everyone, skill, key)
        return right

    def rest(self) -> None:
        """A week passes."""
        self.practice *= 1 - self.world.fading
        self.learnt *= 1 - self.world.fading
        self.known &= self._rng.random(self.known.shape) > self.world.fading / 2

    def _logit(self) -> np.ndarray:
        if self.world.by_practice:
            return self.start + self.world.gain * np.log1p(self.practice)
        return self.start + self.learnt

    def _right(self, logit: np.ndarray) -> np.ndarray:
        """The mean over how hard the exercise is, by eleven equally likely ones."""
        luck = self.world.exercise * _ELEVEN
        right = (1 / (1 + np.exp(-(logit[..., None] + luck)))).mean(axis=-1)
        return FLOORS[:, None] + (1 - FLOORS[:, None]) * right

    def _all_or_none(self) -> np.ndarray:
        floor = FLOORS[:, None]
        return np.where(self.known, 0.94, floor + 0.2 * (1 - floor))

    def _learn(self, everyone: np.ndarray, skill: np.ndarray, key: np.ndarray) -> None:
        done = np.zeros_like(self.practice)
        np.add.at(done, (everyone, skill, key), 1)
        reached = self._reached(done)
        self.practice += reached
        unknown = 1 / (1 + np.exp(self._logit()))
        self.learnt += self.world.gain * self._reached(done * unknown)
        if self.world.all_or_none:
            self.known |= self._rng.random(done.shape) > (1 - 0.35) ** reached

    def _reached(self, taught: np.ndarray) -> np.ndarray:
        """What is taught in each cell, with what comes from near keys and other skills."""
        along = taught @ self._spread
        return along + self.world.across * (along.sum(axis=1, keepdims=True) - along)


def _eleven() -> np.ndarray:
    """The midpoints of eleven equally likely parts of a normal distribution."""
    from statistics import NormalDist

    return np.array([NormalDist().inv_cdf((i + 0.5) / 11) for i in range(11)])


_ELEVEN = _eleven()
