"""Exercises to sweep over, and what the checks say of them.

Three ways: ``systematic`` (every family, key, hand and value of every setting), ``shipped``
(the workbooks of every template in all 30 keys), ``at_random`` (any family, settings, key,
hand, help, ledger lines, words and seed). Each returns a ``Found``; they can run in
processes of their own.

``PYTHONPATH=tests python tests/outside/sweeping.py FROM TO`` checks the random exercises FROM
to TO - 1 in one process and tells what disagrees as it is found.
"""

import sys
import traceback
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from random import Random
from typing import Self

import reading
from asked import Request
from checks import check
from words import compare

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS
from workbook.music.naming import ENGLISH, LETTERS, STEPS, Naming
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

PROGRESSIONS = (
    "I vi ii6 V7 I",
    "I V7/V V7 I",
    "I vii°7/V V V6/5 I",
    "I IV I6/4 V7 I",
    "I iii vi ii V7 I",
    "I ii V I",
    "I vi IV V7 I",
    "I V6 I IV V7 I",
)
"""Numerals beside those that the families show as examples."""
_GIVEN = (0, 0, 0, 1, 2, 5, 30)
_TRIES = 30


@dataclass
class Found:
    """Exercises checked by family, answers by who has an opinion on them, disagreements."""

    exercises: Counter = field(default_factory=Counter)
    answers: Counter = field(default_factory=Counter)
    renamed: int = 0
    differences: list[str] = field(default_factory=list)

    def __iadd__(self, other: "Found") -> Self:
        self.exercises += other.exercises
        self.answers += other.answers
        self.renamed += other.renamed
        self.differences += other.differences
        return self

    def take(self, what, exercise, other=None, naming=ENGLISH) -> None:
        """Check an English exercise; ``other`` is the same one in other words."""
        self.exercises[exercise.family] += 1
        try:
            self.answers += check(exercise)
            if other is not None:
                compare(exercise, other, naming)
                self.renamed += 1
        except Exception as error:  # a check that breaks off has not agreed
            line = traceback.extract_tb(error.__traceback__)[-1]
            self.differences.append(
                f"{what}: {exercise.prompt}: {error!r} ({line.name}, line {line.lineno})"
            )

    def told(self) -> str:
        lines = [f"{count:7} {name}" for name, count in sorted(self.exercises.items())]
        lines.append(
            f"{self.exercises.total():7} exercises, {self.renamed} of them in other "
            f"words too; {self.answers.total()} answers: "
            + ", ".join(f"{count} {who}" for who, count in sorted(self.answers.items()))
        )
        return "\n".join([*lines, f"{len(self.differences)} disagreements", *self.differences[:50]])


def systematic(family: str) -> Found:
    """A family in every key, for every hand and with every value of each of its settings."""
    found = Found()
    for exercise in reading.sample(family):
        found.take(family, exercise)
    return found


def shipped(name: str, seeds: Iterable[int]) -> Found:
    """The workbooks of a shipped template in all 30 keys."""
    found, template = Found(), read_template(available()[name])
    for seed in seeds:
        row = Row("Pippa Marrowby", template, ALL_KEYS, "", None, 2)
        english = replace(row, template=replace(template, naming=ENGLISH))
        for one, other in zip(
            plan(english, str(seed)).items, plan(row, str(seed)).items, strict=True
        ):
            found.take(
                (name, seed),
                one.exercise,
                other.exercise if template.naming != ENGLISH else None,
                template.naming,
            )
    return found


def at_random(numbers: Iterable[int]) -> Found:
    """One exercise for each number, which is its seed."""
    found = Found()
    for number in numbers:
        family, request = request_at_random(Random(f"request {number}"))
        exercise = FAMILIES[family].make(replace(request, naming=ENGLISH), Random(number))
        other = None
        if request.naming != ENGLISH:
            other = FAMILIES[family].make(request, Random(number))
        what = (
            number,
            request.key.ascii,
            request.hand,
            request.settings,
            request.given,
            request.naming,
        )
        found.take(what, exercise, other, request.naming)
    return found


def request_at_random(rng: Random) -> tuple[str, Request]:
    family = rng.choice(list(FAMILIES))
    kind = FAMILIES[family]
    for _ in range(_TRIES):
        key, hand = rng.choice(ALL_KEYS), rng.choice(HANDS if kind.by else HANDS[:1])
        settings = {
            name: rng.choice(_values(family, values))
            for name, values in kind.settings.items()
            if rng.random() < 0.7
        }
        if not kind.problem(settings, key, hand):
            break
    else:
        settings = {}
    ask = tuple(asks for asks in dict.fromkeys(kind.asks) if rng.random() < 0.7)
    naming = Naming(rng.choice(LETTERS), rng.choice(STEPS)) if rng.random() < 0.3 else ENGLISH
    return family, Request(
        key,
        hand,
        ask or (rng.choice(kind.asks),),
        rng.choice(_GIVEN),
        rng.randrange(3),
        settings,
        naming,
    )


def _values(family: str, values) -> list:
    """The values of a setting; of typed ones also more than the examples."""
    if not values.check or family == "common-tones":
        return list(values)
    return [*values, *PROGRESSIONS]


def main(first: int, end: int, chunk: int = 500) -> Found:
    """The random exercises from ``first`` to before ``end``, told while they are checked."""
    found = Found()
    for start in range(first, end, chunk):
        part = at_random(range(start, min(start + chunk, end)))
        found += part
        print(f"to {min(start + chunk, end) - 1}: {len(found.differences)} disagreements")
        print(*part.differences, sep="\n", end="\n" if part.differences else "", flush=True)
    print(found.told())
    return found


if __name__ == "__main__":
    sys.exit(bool(main(int(sys.argv[1]), int(sys.argv[2])).differences))
