"""Dealing exercises: which a roster row gets, in which keys, from which seed.

In: a roster row and the build's seed. Out: plans. The same row and seed give the same plan
whatever the other rows hold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from random import Random
from typing import Any, TypeVar

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request
from workbook.fingering.conventions import Conventions, traditional
from workbook.music.scales import forms
from workbook.planning import exercise_pool
from workbook.planning.exercise_pool import ExercisePool, PoolEntry, digest
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, combinations, heading, suits

Value = TypeVar("Value")

_TRIES, _OTHERS = 12, 8
"""Other exercises tried for one request; other requests tried after that."""
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CODE_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"


def row_seed(row: Row, seed: str, copy: int = 0) -> str:
    """The seed of a row: its own if it has one, else from the student and the build's.

    ``copy`` tells identical rows of one student apart.
    """
    if row.seed:
        return row.seed if not copy else f"{row.seed}/{copy}"
    keys = ";".join(key.ascii for key in row.keys)
    return digest(seed, row.student, row.template.name, keys, row.title, str(copy))[:12]


def plan(row: Row, seed: str, copy: int = 0, fingering: Conventions | None = None) -> Plan:
    """The exercises of one row. Within it none repeats while another can be found.

    ``fingering`` is the table of the answers, the traditional one if left out.
    """
    return plans(row, seed, copy, fingering)[0]


def plans(
    row: Row,
    seed: str,
    copy: int = 0,
    fingering: Conventions | None = None,
    forms: int = 1,
    pool: ExercisePool | None = None,
) -> list[Plan]:
    """``forms`` plans of one row with the same families, keys, hands, settings and points,
    and with other exercises wherever there are others. More than one are lettered.

    Plans of one build share a ``pool``; it changes nothing in them but saves time.
    """
    own = row_seed(row, seed, copy)
    row = replace(row, title=row.title or row.template.title)
    table = fingering or traditional()
    deal = _Deal(pool or ExercisePool(), row.seed or digest(seed, row.title))
    made: list[list[list[Exercise]]] = [[] for _ in range(forms)]
    for index, section in enumerate(row.template.sections):
        name = digest(own, row.template.name, str(index))
        rng = Random(name)
        first, requests = [], []
        for wanted in _requests(section, row, rng, table):
            exercise, request = deal.fresh(section, wanted, rng)
            first.append(exercise)
            requests.append(request)
        made[0].append(first)
        for form in range(1, forms):
            rng = Random(digest(name, str(form)))
            made[form].append([deal.another(section, request, rng) for request in requests])
    return [
        _numbered(row, own, sections, _LETTERS[form] if forms > 1 else "")
        for form, sections in enumerate(made)
    ]


def _numbered(row: Row, own: str, made: list[list[Exercise]], form: str) -> Plan:
    number, sections = 0, []
    for index, (section, exercises) in enumerate(zip(row.template.sections, made)):
        items = tuple(
            Item(number + place, exercise, section.points)
            for place, exercise in enumerate(exercises, 1)
        )
        number += len(items)
        sections.append(
            PlannedSection(
                _LETTERS[index % 26] * (1 + index // 26),
                heading(section, row.template.naming),
                items,
            )
        )
    return Plan(row, own, tuple(sections), _code(row, own + form, tuple(sections)), form)


def _requests(section: Section, row: Row, rng: Random, fingering: Conventions) -> list[Request]:
    """``section.count`` requests, spread evenly over keys, hands and settings."""
    rotation, family = _Rotation(rng), FAMILIES[section.family]
    settings = dict(section.settings)
    keys = [key for key in row.keys if suits(section, family, key)]
    found = []
    for _ in range(section.count):
        key = rotation.take("key", keys)
        chosen = {}
        for name, values in sorted(settings.items()):
            usable = [v for v in values if v in forms(key)] if name == "forms" else list(values)
            if usable:
                chosen[name] = rotation.take((name, key.mode if name == "forms" else ""), usable)
        hand = rotation.least(("hand", key), "hand", section.hands)
        if family.problem(chosen, key, hand):
            chosen, hand = rng.choice(
                [
                    (other, side)
                    for other in combinations(section)
                    for side in section.hands
                    if not family.problem(other, key, side)
                ]
            )
        found.append(
            Request(
                key,
                hand,
                section.ask,
                section.given,
                section.ledger_lines,
                chosen,
                row.template.naming,
                fingering=fingering,
            )
        )
    return found


class _Rotation:
    """Deals values so that each comes once before any comes again."""

    def __init__(self, rng: Random):
        self._rng = rng
        self._left: dict[object, list[Any]] = {}
        self._used: Counter[tuple[object, object]] = Counter()

    def take(self, what: object, values: Iterable[Value]) -> Value:
        """The next of the ``values``; ``what`` names them."""
        left = self._left.get(what)
        if not left:
            left = self._left[what] = self._rng.sample(every := list(values), len(every))
        value: Value = left.pop()
        return value

    def least(self, here: object, overall: object, values: Sequence[Value]) -> Value:
        """The value least used ``here``, then least used ``overall``."""
        value = min(
            values, key=lambda v: (self._used[here, v], self._used[overall, v], self._rng.random())
        )
        self._used.update([(here, value), (overall, value)])
        return value


class _Deal:
    """The exercises of one workbook and its other forms, none twice while there are others.

    They come from the pool under ``word``; where that is used up, from beyond it.
    """

    def __init__(self, pool: ExercisePool, word: str):
        self._pool, self._word = pool, word
        self._seen: set[str] = set()

    def fresh(self, section: Section, request: Request, rng: Random) -> tuple[Exercise, Request]:
        """An exercise whose music is new here and the request it answers: another hand or
        other settings in the same key where the wanted ones have no new music left.
        """
        entry, rank = self._best(section, request, rng)
        if rank:
            others = list(_others(section, request))
            for other in rng.sample(others, min(len(others), _OTHERS)):
                found, better = self._best(section, other, rng)
                if better < rank:
                    entry, rank, request = found, better, other
        self._seen.update((entry.music, entry.task))
        return entry.exercise, request

    def another(self, section: Section, request: Request, rng: Random) -> Exercise:
        """The same request's exercise for another form."""
        entry, _ = self._best(section, request, rng)
        self._seen.update((entry.music, entry.task))
        return entry.exercise

    def _best(self, section: Section, request: Request, rng: Random) -> tuple[PoolEntry, int]:
        """The first exercise whose music is new (0), or failing that its blanks (1), or
        neither.
        """
        found: dict[int, PoolEntry] = {}
        first = rng.randrange(exercise_pool.SIZE)
        for number in range(_TRIES):
            place = (first + number) % exercise_pool.SIZE if number < exercise_pool.SIZE else number
            entry = self._pool.take(self._word, section.family, request, place)
            rank = (entry.music in self._seen) + (entry.task in self._seen)
            found.setdefault(rank, entry)
            if not rank:
                break
        return found[min(found)], min(found)


def _others(section: Section, request: Request) -> Iterator[Request]:
    family = FAMILIES[section.family]
    for chosen in combinations(section):
        if chosen.get("forms", forms(request.key)[0]) in forms(request.key):
            for hand in section.hands:
                if not family.problem(chosen, request.key, hand):
                    yield replace(request, hand=hand, settings=chosen)


def _code(row: Row, seed: str, sections: tuple[PlannedSection, ...]) -> str:
    """Six letters and digits that no other workbook of a studio is likely to have."""
    answers = "|".join(
        f"{blank.tag}={blank.answer}{blank.given}"
        for section in sections
        for item in section.items
        for blank in item.exercise.blanks
    )
    number = int(digest(row.student, row.template.name, row.title, seed, answers), 16)
    text = ""
    for _ in range(6):
        number, digit = divmod(number, 32)
        text += _CODE_LETTERS[digit]
    return f"{text[:3]}-{text[3:]}"
