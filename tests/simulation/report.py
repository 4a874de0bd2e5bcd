"""All worlds and rules, many seeds: the table of DEVELOPERS.md."""

from __future__ import annotations

import os
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields
from itertools import product

import numpy as np

from tests.simulation.choosing import RULES, Ours
from tests.simulation.learners import WORLDS
from tests.simulation.term import WORTH, Term, run

Found = dict[tuple[str, str], Term]


def gather(learners: int, seeds: int, workers: int, worlds=WORLDS, rules=RULES) -> Found:
    """Every world under every rule; the learners of all seeds together, in the same order."""
    jobs = [(w, r, s, learners) for s, w, r in product(_seeds(seeds), worlds, rules)]
    if workers > 1:
        # one thread of linear algebra for each process
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
        with ProcessPoolExecutor(workers) as pool:
            terms = list(pool.map(run, *zip(*jobs)))
    else:
        terms = [run(*job) for job in jobs]
    found: Found = {}
    for (world, rule, _, _), term in zip(jobs, terms):
        whole = found.setdefault((world.name, rule.name), Term())
        for one in fields(Term):
            getattr(whole, one.name).extend(getattr(term, one.name))
    return found


def _seeds(count: int) -> range:
    """Not those that the sizes in the estimates and the rule were chosen with."""
    return range(10, 10 + count)


def interval(values) -> tuple[float, float]:
    """The mean and half of its 95 % confidence interval."""
    values = np.asarray(values)
    return float(values.mean()), float(1.96 * values.std(ddof=1) / np.sqrt(len(values)))


def worst_decile(exam, draws: int = 400) -> tuple[float, float]:
    """The mean of the lowest tenth, and half of its 95 % interval by the bootstrap."""
    exam, rng = np.asarray(exam), np.random.default_rng(0)

    def lowest(values):
        return np.sort(values)[: max(len(values) // 10, 1)].mean()

    again = [lowest(rng.choice(exam, len(exam))) for _ in range(draws)]
    return float(lowest(exam)), float(1.96 * np.std(again))


def gain(found: Found, world: str) -> tuple[str, float, float]:
    """The best rule by hand in a world, and what ours gains over it, learner by learner."""
    hands = [rule.name for rule in RULES if rule is not Ours and (world, rule.name) in found]
    best = max(hands, key=lambda name: np.mean(found[world, name].exam))
    ours, other = (np.array(found[world, name].exam) for name in (Ours.name, best))
    return best, *interval(ours - other)


def lines(found: Found):
    """The table, line by line."""
    yield "| world | rule | exam | worst decile | never met |"
    yield "|---|---|---|---|---|"
    for (world, rule), term in found.items():
        exam, decile = interval(term.exam), worst_decile(term.exam)
        yield (
            f"| {world} | {rule} | {exam[0]:.1f} ± {exam[1]:.1f} | {decile[0]:.1f} ± "
            f"{decile[1]:.1f} | {100 * np.mean(term.unmet):.1f} % |"
        )
    yield ""
    yield "| world | best by hand | gain |"
    yield "|---|---|---|"
    worlds = list(dict.fromkeys(world for world, _ in found))
    for world in worlds:
        best, more, half = gain(found, world)
        yield f"| {world} | {best} | {more:+.2f} ± {half:.2f} |"
    for when, told in (("_at_exam", "all cells before the exam"), ("", "next week's boxes")):
        yield ""
        yield f"| world: {told} | excess Brier | widened | of skill mean | cover | widened |"
        yield "|---|---|---|---|---|---|"
        for world in worlds:
            term = found[world, Ours.name]
            numbers = [interval(getattr(term, name + when)) for name in WORTH]
            yield f"| {world} | " + " | ".join(map(_shown, WORTH, numbers)) + " |"
    yield ""
    yield "| world | bands at the exam are wider by |"
    yield "|---|---|"
    for world in worlds:
        factors = found[world, Ours.name].widen
        yield f"| {world} | {min(factors):.1f} to {max(factors):.1f} |"


def _shown(name: str, number: tuple[float, float]) -> str:
    places = 4 if name.startswith("excess") else 3
    return f"{number[0]:.{places}f} ± {number[1]:.{places}f}"


def main(learners: int = 200, seeds: int = 5, workers: int = 2) -> None:
    began = time.time()
    found = gather(learners, seeds, workers)
    print("\n".join(lines(found)))
    print(f"{learners} learners × {seeds} seeds: {time.time() - began:.0f} s")
