"""What else a section could ask: every exercise of a request, and every request of a section.

In: a section, a request and the exercises dealt so far. Out: the requests most like it, and one
of their exercises that was not dealt, as long as there is any.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial

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
    family: str,
    requests: Iterable[Request],
    dealt: Collection[str],
    had: Collection[str] = (),
) -> tuple[PoolEntry, Request] | None:
    """The first exercise whose question is not in ``dealt``, and the request it answers.

    ``had`` has the identities of exercises that the student had: they count as dealt. None if
    the requests are used up.
    """
    for wanted in requests:
        for entry in _supply(pool, seed, family, wanted):
            new = entry.question not in dealt
            if new and not (had and exercise_identity(entry.exercise) in had):
                return entry, wanted
    return None


def nearest_first(section: Section, request: Request, *keys: Sequence[Key]) -> Iterator[Request]:
    """Every request of a section: the wanted one, then others of its key, then those of ``keys``.

    Within its key, and within each of the sequences of ``keys``, those come first that differ
    least from it.
    """
    yield request
    seen: set[Key] = set()
    for group in ([request.key], *keys):
        new = [key for key in group if key not in seen]
        seen.update(new)
        found = [one for key in new for one in requests_in(section, request, key)]
        yield from sorted((one for one in found if one != request), key=partial(_unlike, request))


def _unlike(one: Request, other: Request) -> int:
    """How much the hand, the settings and the mode differ.

    A hand alone is more like the other hand than like both.
    """
    settings = [name for name, value in one.settings.items() if other.settings.get(name) != value]
    hand = (one.hand != other.hand) * (1 + ("both" in (one.hand, other.hand)))
    return len(settings) + hand + (one.key.mode != other.key.mode)


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
    """Exercises of a request with different questions, until no new one comes for a while."""
    seen: set[str] = set()
    for number in range(_MOST):
        if number > _AT_LEAST + _FOR_EACH * len(seen):
            return
        entry = pool.take(seed, family, request, number)
        if entry.question not in seen:
            seen.add(entry.question)
            yield entry
