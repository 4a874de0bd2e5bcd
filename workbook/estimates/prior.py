"""What is believed about a student before the first mark, and how cells are related.

The logit of a right answer, guessing apart, is a sum: how strong the student is, how well the
skill goes, how well the key goes, how well the skill goes in this key, and what is true
of the cell alone. Every part is normal, so all cells together are one normal distribution.
That a mark in one cell moves others by the parts they share is the idea of multidimensional
Elo ratings (Park, Cornillie, van der Maas and Van den Noortgate, Frontiers in Psychology
2019, 10.3389/fpsyg.2019.00620), here with the uncertainty kept.

Keys are alike by their distance on the circle of fifths and by their mode; skills are
alike in part if they are of one family. The sizes are our own estimates, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from workbook.estimates.results import Cell
from workbook.music.keys import parse_key

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Prior:
    """Sizes of the parts, in logits (standard deviations), and what goes with them.

    ``usual`` is the logit of a new student in C major, ``sign`` the change for each sharp or
    flat. ``fifths`` is the distance on the circle, in fifths, after which keys are alike by
    1/e; ``mode`` how far a major and a minor key of one signature are alike, and
    ``family`` two skills of one family, 0 to 1.
    """

    usual: float = 0.4
    sign: float = -0.1
    student: float = 0.9
    skill: float = 0.6
    key: float = 0.5
    skill_key: float = 0.3
    own: float = 0.6
    fifths: float = 2.5
    mode: float = 0.6
    family: float = 0.5

    def mean(self, cells: Sequence[Cell]) -> Floats:
        """The logits before the first mark, one for each cell."""
        return self.of(cells).mean

    def covariance(self, cells: Sequence[Cell]) -> Floats:
        """The covariances of the logits, cells × cells."""
        return self.of(cells).rows(np.arange(len(cells)))

    def of(self, cells: Sequence[Cell]) -> Believed:
        """What is believed about cells."""
        skills, skill_of = _distinct([cell.skill for cell in cells])
        keys, key_of = _distinct([cell.key for cell in cells])
        return Believed(
            self,
            skills,
            self._skills(skills),
            self._keys(keys),
            skill_of,
            key_of,
            self._means(keys),
        )

    def _means(self, names: Sequence[str]) -> Floats:
        """The logits in every key."""
        signs = [abs(parse_key(name).fifths) if name else 0 for name in names]
        return self.usual + self.sign * np.array(signs, dtype=float)

    def _skills(self, skills: Sequence[str]) -> Floats:
        """How similar every two skills are, 0 to 1."""
        families = np.array([skill.split("/")[0] for skill in skills])
        alike = np.where(families[:, None] == families, self.family, 0.0)
        np.fill_diagonal(alike, 1.0)
        return alike

    def _keys(self, names: Sequence[str]) -> Floats:
        """How similar every two keys are, 0 to 1."""
        found = [parse_key(name) if name else None for name in names]
        place = np.array([key.fifths % 12 if key else 0 for key in found])
        mode = np.array([key.mode if key else "" for key in found])
        apart = np.abs(place[:, None] - place)
        # exp(-distance) is a covariance on a circle (Gneiting, Bernoulli 19, 2013, from memory)
        near = np.exp(-np.minimum(apart, 12 - apart) / self.fifths)
        keyed = mode != ""
        alike: Floats = (
            near * np.where(mode[:, None] == mode, 1.0, self.mode) * (keyed[:, None] == keyed)
        )
        return alike


_KEPT = 64
"""The most rows that are kept for the cells of one level."""


@dataclass(frozen=True)
class Believed:
    """What is believed about cells before the first mark, by the skill and the key of each."""

    _sizes: Prior
    skills: Sequence[str]
    _by_skill: Floats
    _by_key: Floats
    skill_of: NDArray[np.intp]
    _key_of: NDArray[np.intp]
    _means: Floats
    _kept: dict[int, Floats] = field(default_factory=dict, compare=False, repr=False)

    @property
    def mean(self) -> Floats:
        """The logits of the cells."""
        return self._means.take(self._key_of)

    @property
    def variance(self) -> float:
        """The variance of each cell."""
        sizes = self._sizes
        parts = (sizes.student, sizes.skill, sizes.key, sizes.skill_key, sizes.own)
        return sum(part**2 for part in parts)

    def rows(self, at: NDArray[np.intp]) -> Floats:
        """The covariances of the cells at the places ``at`` with all cells, places × cells.

        A few rows are kept: students of one level meet the same cells, and each meets them again.
        """
        places = at.tolist()
        if not 0 < len(places) <= _KEPT:
            return self._made(at)
        kept = self._kept
        missing = [place for place in dict.fromkeys(places) if place not in kept]
        if missing:
            if len(kept) + len(missing) > _KEPT:
                kept = {}
                missing = list(dict.fromkeys(places))
            kept = kept | dict(zip(missing, self._made(np.array(missing, dtype=np.intp))))
            object.__setattr__(self, "_kept", kept)  # threads may be reading the one before
        return np.array([kept[place] for place in places])

    def _made(self, at: NDArray[np.intp]) -> Floats:
        sizes = self._sizes
        # sums and products of few skills and keys come first; taking their columns costs little
        by_skill, by_key = self._by_skill[self.skill_of[at]], self._by_key[self._key_of[at]]
        found = (sizes.student**2 + sizes.skill**2 * by_skill).take(self.skill_of, axis=1)
        found += (sizes.key**2 * by_key).take(self._key_of, axis=1)
        both = (sizes.skill_key**2 * by_skill).take(self.skill_of, axis=1)
        both *= by_key.take(self._key_of, axis=1)
        found += both
        found[np.arange(len(at)), at] += sizes.own**2
        return found


def _distinct(names: Sequence[str]) -> tuple[list[str], NDArray[np.intp]]:
    """The distinct names, and the index of each name among them."""
    found = {name: place for place, name in enumerate(dict.fromkeys(names))}
    return list(found), np.array([found[name] for name in names], dtype=np.intp)
