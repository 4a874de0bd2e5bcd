"""What else a section could ask: every exercise of a request, and every request of a section.

In: a section and the exercises dealt so far. Out: one that was not dealt, as long as there is
any in the keys of the row.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Request
from workbook.music.keys import Key
from workbook.music.scales import scale_forms
from workbook.planning.exercise_pool import ExercisePool, PoolEntry
from workbook.record.identity import exercise_identity
from workbook.studio.template_model import Section, combinations

_AT_LEAST, _FOR_EACH, _MOST = 10, 8, 120
"""Exercises made before a request counts as used up: so many, and so many for each that
differed. Of eleven that are equally likely, one is then missed about once in 500 times."""


def unused(
    pool: ExercisePool,
    seed: str,
    section: Section,
    request: Request,
    keys: Sequence[Key],
    dealt: Collection[str],
    had: Collection[str] = (),
) -> tuple[PoolEntry, Request] | None:
    """An exercise of the section whose task is not in ``dealt``, and the request it answers.

    ``had`` has the identities of exercises that the student had: they count as dealt. The
    nearest request comes first: the wanted one, then other hands and settings in its key, then
    the ``keys`` in their order. None if all are used up.
    """
    for wanted in _nearest_first(section, request, keys):
        for entry in _supply(pool, seed, section.family, wanted):
            if entry.task not in dealt and not (had and exercise_identity(entry.exercise) in had):
                return entry, wanted
    return None


def _nearest_first(section: Section, request: Request, keys: Sequence[Key]) -> Iterator[Request]:
    yield request
    yield from requests_in(section, request, request.key)
    for key in keys:
        if key != request.key:
            found = list(requests_in(section, request, key))
            yield from sorted(found, key=lambda one: _unlike(one, request))


def _unlike(one: Request, other: Request) -> int:
    """How many of the hand and the settings differ."""
    settings = [name for name, value in other.settings.items() if one.settings.get(name) != value]
    return len(settings) + (one.hand != other.hand)


def requests_in(section: Section, request: Request, key: Key) -> Iterator[Request]:
    """Every request of a section in ``key``; all else is as in ``request``."""
    family, forms = FAMILIES[section.family], scale_forms(key)
    suitable = any(form in forms for form in dict(section.settings).get("forms", ()))
    for settings in combinations(section):
        unsuitable = settings.get("forms", forms[0]) not in forms
        if unsuitable and suitable:
            continue
        chosen = {n: value for n, value in settings.items() if not (unsuitable and n == "forms")}
        for hand in section.hands:
            if not family.problem(chosen, key, hand):
                yield replace(request, key=key, hand=hand, settings=chosen)


def _supply(pool: ExercisePool, seed: str, family: str, request: Request) -> Iterator[PoolEntry]:
    """The exercises of a request that differ, until no new one comes for a while."""
    seen: set[str] = set()
    for number in range(_MOST):
        if number > _AT_LEAST + _FOR_EACH * len(seen):
            return
        entry = pool.take(seed, family, request, number)
        if entry.task not in seen:
            seen.add(entry.task)
            yield entry
