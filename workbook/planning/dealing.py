"""Dealing: which exercises a roster row gets, and in which keys.

In: a roster row and the build's seed. Out: plans. The same row and seed always give the same
plan, whatever the other rows contain.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from random import Random
from typing import Any, TypeVar

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request
from workbook.fingering.conventions import Conventions, traditional
from workbook.music.keys import Key
from workbook.music.scales import scale_forms
from workbook.planning import exercise_pool
from workbook.planning.coverage import (
    DAY,
    Earlier,
    KeyTurns,
    numbered,
    sheet_number,
    usable_keys,
)
from workbook.planning.exercise_pool import ExercisePool, PoolEntry, digest
from workbook.planning.plan import Item, Plan, PlannedSection, Repeats
from workbook.planning.supply import nearest_first, unused
from workbook.planning.weekly import Round, parted, shortened, whole
from workbook.planning.worked import example
from workbook.record.identity import exercise_identity
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, combinations, heading

Value = TypeVar("Value")

_DEALT = 2
"""The rank of an exercise whose question was dealt before, or more; see ``_Deal._best``."""
_HAD = 4
"""Is added to the rank of an exercise that the student had on an earlier sheet."""
_TRIES, _OTHERS = 12, 8
"""The most exercises tried for one request, and the most other requests tried after that."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CODE_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
KEY_CODE = re.compile(f"[{_CODE_LETTERS}]{{3}}-[{_CODE_LETTERS}]{{3}}")
"""What a key code looks like."""


def row_seed(row: Row, seed: str, copy: int = 0) -> str:
    """The seed of a row: its own, or else one derived from the row and the build's ``seed``.

    ``copy`` distinguishes identical rows of one student.
    """
    if row.seed:
        return row.seed if not copy else f"{row.seed}/{copy}"
    keys = ";".join(key.ascii for key in row.keys)
    return digest(seed, row.student, row.template.name, keys, row.title, str(copy))[:12]


def plan(row: Row, seed: str, copy: int = 0, fingering: Conventions | None = None) -> Plan:
    """The plan of one row. No exercise repeats in it while a new one can be found.

    ``fingering`` is the table that answers come from, by default the traditional one.
    """
    return plans(row, seed, copy, fingering)[0]


def plans(
    row: Row,
    seed: str,
    copy: int = 0,
    fingering: Conventions | None = None,
    forms: int = 1,
    pool: ExercisePool | None = None,
    had: Collection[str] = (),
    earlier: Earlier | None = None,
    weekly: Round | None = None,
    left_out: int = 0,
) -> list[Plan]:
    """One plan for each of ``forms`` parallel forms of a row, lettered if there are several.

    Forms have the same families and points, and share no exercise while the keys of the row offer
    others; exercises that differ only in what is filled in as help count as one. They also have
    the same keys, hands and settings while these offer others; then the hand or the settings
    change as little as possible, and the key last. The plans of a build share a ``pool``, which
    saves time and does not affect the result. ``had`` has the identities of exercises that the
    student had (see ``record.identity``): they are not dealt while there are others. Those of
    ``earlier`` sheets are not either, and the keys met least on them come first; without them,
    the number in the title says where the round of keys goes on (see ``coverage``).
    """
    plan_seed = row_seed(row, seed, copy)
    row = replace(row, title=row.title or row.template.title)
    table = fingering or traditional()
    had = {*had, *earlier.identities} if earlier else had
    deal = _Deal(pool or ExercisePool(), row.seed or digest(seed, row.title), had)
    number = _number(row, seed, copy, earlier)
    turns = _turns(row, seed, earlier, weekly or whole(row.template), number)
    if weekly:
        share = shortened(weekly.share(number), left_out)
        row = replace(row, template=parted(row.template, share))
    names = [
        digest(plan_seed, row.template.name, str(index))
        for index in range(len(row.template.sections))
    ]
    first: list[list[PoolEntry]] = []
    asked: list[list[Request]] = []
    for section, name in zip(row.template.sections, names):
        rng = Random(name)
        wanted = _requests(section, row, rng, table, turns)
        spare = [key for key in row.keys if key not in {one.key for one in wanted}]
        dealt = [deal.fresh(section, one, spare, rng, row.keys) for one in wanted]
        first.append([entry for entry, _ in dealt])
        asked.append([request for _, request in dealt])
    made = [first]
    for form in range(1, forms):
        rngs = [Random(digest(name, str(form))) for name in names]
        made.append(deal.form(row, asked, rngs))
    examples = [
        deal.example(
            section,
            asked[index][0],
            [entry.exercise for one in made for entry in one[index]],
            row.keys,
            Random(digest(names[index], "example")),
        )
        if section.example
        else None
        for index, section in enumerate(row.template.sections)
    ]
    return [
        replace(
            _numbered(row, plan_seed, made[: form + 1], letter, examples, had),
            weekly=weekly is not None,
            left_out=left_out,
        )
        for form, letter in enumerate(form_letters(forms))
    ]


def form_letters(forms: int) -> list[str]:
    """What ``forms`` parallel forms are called; an only one is called ""."""
    return list(LETTERS[:forms]) if forms > 1 else [""]


def _numbered(
    row: Row,
    seed: str,
    forms: list[list[list[PoolEntry]]],
    form: str,
    examples: list[PoolEntry | None],
    had: Collection[str],
) -> Plan:
    """The plan of the last of ``forms``, one list a section, numbered from 1."""
    number, sections = 0, []
    *earlier, made = forms
    for index, (section, entries) in enumerate(zip(row.template.sections, made)):
        items = tuple(
            Item(number + count, entry.exercise, section.points)
            for count, entry in enumerate(entries, 1)
        )
        number += len(items)
        shown = examples[index]
        sections.append(
            PlannedSection(
                LETTERS[index % 26] * (1 + index // 26),
                heading(section, row.template.naming),
                items,
                Item(-1 - index, example(shown.exercise), 0) if shown else None,
            )
        )
    before = {entry.question for one in earlier for part in one for entry in part}
    asked = [(part.letter, [one.question for one in own]) for part, own in zip(sections, made)]
    again = sum(exercise_identity(one.exercise) in had for own in made for one in own) if had else 0
    found = replace(repeats(asked, before), had=again)
    code = key_code(row, seed + form, tuple(sections))
    return Plan(row, seed, tuple(sections), code, form, repeats=found)


def repeats(sections: Iterable[tuple[str, Iterable[str]]], before: Collection[str]) -> Repeats:
    """What repeats in ``sections``: each with its letter and what identifies its exercises.

    ``before`` has the same of earlier forms.
    """
    seen: set[str] = set()
    again: Counter[str] = Counter()
    for letter, exercises in sections:
        for one in exercises:
            again[letter] += one in seen
            seen.add(one)
    shared = len(seen & set(before))
    return Repeats(shared, tuple((letter, count) for letter, count in again.items() if count))


def _number(row: Row, seed: str, copy: int, earlier: Earlier | None) -> int:
    """How many sheets come before that of the row, those of its template in other builds, too.

    They are counted where they are known and the row's title has no number.
    """
    if earlier and not numbered(row.title):
        return earlier.before.get(row.template.name, 0) + earlier.sheets
    return sheet_number(row.title, "" if row.seed else seed) + copy


def _turns(row: Row, seed: str, earlier: Earlier | None, sheets: Round, number: int) -> KeyTurns:
    """The keys of the row's sheet, after those of the sheets before it.

    All sheets of a student from one template and seed share the order of their keys.
    """
    keys = ";".join(key.ascii for key in row.keys)
    common = (row.seed,) if row.seed else (DAY.sub("", seed), row.student)
    name = digest(*common, row.template.name, keys)
    turns = KeyTurns(name, earlier.keys if earlier else None)
    known = earlier and sheets.shares(number - earlier.sheets, earlier.sheets)
    turns.skip(row.template.sections, row.keys, known or sheets.before(number))
    return turns


def _requests(
    section: Section, row: Row, rng: Random, fingering: Conventions, turns: KeyTurns
) -> list[Request]:
    """``section.count`` requests, spread evenly over keys, hands and settings."""
    rotation, family = _Rotation(rng), FAMILIES[section.family]
    settings = dict(section.settings)
    found = []
    for key in turns.deal(section, usable_keys(section, row.keys)):
        chosen = {}
        for name, values in sorted(settings.items()):
            usable = (
                [v for v in values if v in scale_forms(key)] if name == "forms" else list(values)
            )
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
    """Deals values in random order; none repeats until all have been dealt."""

    def __init__(self, rng: Random):
        self._rng = rng
        self._left: dict[object, list[Any]] = {}
        self._used: Counter[tuple[object, object]] = Counter()

    def take(self, name: object, values: Iterable[Value]) -> Value:
        """The next of ``values``; ``name`` identifies this set of values."""
        left = self._left.get(name)
        if not left:
            left = self._left[name] = self._rng.sample(every := list(values), len(every))
        value: Value = left.pop()
        return value

    def least(self, here: object, overall: object, values: Sequence[Value]) -> Value:
        """The value used least under the name ``here``; ties go to the least used ``overall``."""
        value = min(
            values, key=lambda v: (self._used[here, v], self._used[overall, v], self._rng.random())
        )
        self._used.update([(here, value), (overall, value)])
        return value


class _Deal:
    """Deals the exercises of a workbook and its other forms without repeating any if possible.

    They come from the shared pool of ``seed``, and from beyond it once that is used up. A repeat
    within a form counts more than an exercise shared with an earlier form.
    """

    def __init__(self, pool: ExercisePool, seed: str, had: Collection[str] = ()):
        self._pool, self._seed, self._had = pool, seed, had
        self._dealt: set[str] = set()
        self._form: set[str] = set()
        """The questions of the form that is being dealt."""

    def fresh(
        self,
        section: Section,
        request: Request,
        spare: list[Key],
        rng: Random,
        keys: Sequence[Key] = (),
    ) -> tuple[PoolEntry, Request]:
        """An exercise with new music, and the request that it answers.

        If the wanted request has no new music left, the hand or the settings change. The key
        changes only if nothing new is left in it, to one of ``spare`` (keys that the section does
        not ask for), which is then removed. If nothing is left in these, or the student had all
        of it, it is any of ``keys``.
        """
        entry, rank = self._best(section, request, rng)
        if rank:
            others = list(_others(section, request))
            for other in rng.sample(others, min(len(others), _OTHERS)):
                tried, better = self._best(section, other, rng)
                if better < rank:
                    entry, rank, request = tried, better, other
        order = rng.sample(spare, len(spare))
        found = None
        if rank >= _HAD:
            found = self._first(section, request, [order, keys], self._dealt, self._had)
        if rank % _HAD >= _DEALT and not found:
            found = self._unused(section, request, [order, keys])
        if found:
            entry, request = found
        if request.key in spare:
            spare.remove(request.key)
        self._note(entry)
        return entry, request

    def form(
        self, row: Row, asked: Sequence[Sequence[Request]], rngs: Sequence[Random]
    ) -> list[list[PoolEntry]]:
        """The exercises of another form, which answer what was ``asked`` in each section.

        Where a request has no new exercise, the hand, the settings or, in the end, the key are
        others. These come last, so that none has what answers another request.
        """
        self._form = set()
        sections = list(zip(row.template.sections, asked, rngs, strict=True))
        found = [
            [self._same(section, request, rng) for request in requests]
            for section, requests, rng in sections
        ]
        return [
            [
                entry or self._nearest(section, request, row.keys, rng)
                for entry, request in zip(own, requests)
            ]
            for own, (section, requests, rng) in zip(found, sections)
        ]

    def _same(self, section: Section, request: Request, rng: Random) -> PoolEntry | None:
        """A new exercise for the request, or None."""
        entry, rank = self._best(section, request, rng)
        if rank >= _DEALT:
            found = unused(
                self._pool, self._seed, section.family, [request], self._dealt, self._had
            )
            if not found:
                return None
            entry, _ = found
        self._note(entry)
        return entry

    def _nearest(
        self, section: Section, request: Request, keys: Sequence[Key], rng: Random
    ) -> PoolEntry:
        """A new exercise that is most like the request, or one of an earlier form."""
        order = rng.sample(list(keys), len(keys))
        found = self._unused(section, request, [order])
        if not found:
            entry, _ = self._best(section, request, rng)
            if entry.question in self._form:  # rather share one than have it twice
                found = self._unused(section, request, [order], self._form)
        entry, _ = found or (entry, request)
        self._note(entry)
        return entry

    def example(
        self,
        section: Section,
        like: Request,
        items: Sequence[Exercise],
        keys: Sequence[Key],
        rng: Random,
    ) -> PoolEntry | None:
        """An exercise to be shown worked, or None if it could give an answer of ``items`` away.

        It is in a key, or for a hand, that no item of the section has; failing that, it has
        other answers than all items. Its task is that of the first item, which stands above
        it, if any such exercise has that.
        """
        usable = usable_keys(section, keys)
        had = {(one.key, one.hand) for one in items}
        pairs = [
            (key, hand)
            for key in rng.sample(usable, len(usable))
            for hand in rng.sample(section.hands, len(section.hands))
        ]
        free = [
            (key, hand)
            for key, hand in pairs
            if not had & {(key, hand), (key, "both")} and (hand != "both" or not _with(key, had))
        ]
        answers = {_answers(one) for one in items}
        other = None
        for key, hand in sorted(free, key=lambda pair: _with(pair[0], had)) or pairs:
            request = self._request(section, like, key, hand, rng)
            if request is None:
                continue
            entry, rank = self._best(section, request, rng)
            if not rank and (free or _answers(entry.exercise) not in answers):
                if entry.exercise.task == items[0].task:
                    self._note(entry)
                    return entry
                other = other or entry
        if other is not None:
            self._note(other)
        return other

    @staticmethod
    def _request(
        section: Section, like: Request, key: Key, hand: str, rng: Random
    ) -> Request | None:
        """A request of a section in ``key`` for ``hand``, with the settings of ``like`` if
        possible; None if there is none.
        """
        like = replace(like, key=key, hand=hand)
        usable = [one for one in _others(section, like) if one.hand == hand]
        return like if like in usable else rng.choice(usable) if usable else None

    def _note(self, entry: PoolEntry) -> None:
        self._dealt.update((entry.music, entry.question, entry.task))
        self._form.add(entry.question)

    def _unused(
        self,
        section: Section,
        request: Request,
        keys: Sequence[Sequence[Key]],
        dealt: Collection[str] | None = None,
    ) -> tuple[PoolEntry, Request] | None:
        """An exercise that was not dealt and, if possible, that the student has not had."""
        dealt = self._dealt if dealt is None else dealt
        new = self._first(section, request, keys, dealt, self._had) if self._had else None
        return new or self._first(section, request, keys, dealt)

    def _first(
        self,
        section: Section,
        request: Request,
        keys: Sequence[Sequence[Key]],
        dealt: Collection[str],
        had: Collection[str] = (),
    ) -> tuple[PoolEntry, Request] | None:
        """The first exercise that was not dealt and not had, in the request's key or ``keys``."""
        usable = [usable_keys(section, group) for group in keys]
        requests = nearest_first(section, request, *usable)
        return unused(self._pool, self._seed, section.family, requests, dealt, had)

    def _best(self, section: Section, request: Request, rng: Random) -> tuple[PoolEntry, int]:
        """The best exercise for a request, and its rank.

        Rank 0 has new music, 1 asks something new about music dealt before, 2 has new help, 3
        nothing new; 4 and more were had on an earlier sheet. The first exercise of the best rank
        is taken.
        """
        found: dict[int, PoolEntry] = {}
        first = rng.randrange(exercise_pool.SIZE)
        for number in range(_TRIES):
            index = (first + number) % exercise_pool.SIZE if number < exercise_pool.SIZE else number
            entry = self._pool.take(self._seed, section.family, request, index)
            rank = self._rank(entry)
            found.setdefault(rank, entry)
            if not rank:
                break
        return found[min(found)], min(found)

    def _rank(self, entry: PoolEntry) -> int:
        dealt = self._dealt
        rank = 3 if entry.task in dealt else 2 if entry.question in dealt else entry.music in dealt
        if self._had and exercise_identity(entry.exercise) in self._had:
            rank += _HAD
        return rank


def _with(key: Key, pairs: Collection[tuple[Key, str]]) -> bool:
    return any(key == other for other, _ in pairs)


def _answers(exercise: Exercise) -> tuple[str, ...]:
    return tuple(blank.answer for blank in exercise.blanks)


def _others(section: Section, request: Request) -> Iterator[Request]:
    """Every possible request of a section in the key of ``request``."""
    family = FAMILIES[section.family]
    for chosen in combinations(section):
        if chosen.get("forms", scale_forms(request.key)[0]) in scale_forms(request.key):
            for hand in section.hands:
                if not family.problem(chosen, request.key, hand):
                    yield replace(request, hand=hand, settings=chosen)


def _answered(exercise: Exercise) -> str:
    return "|".join(f"{blank.tag}={blank.answer}{blank.given}" for blank in exercise.blanks)


def key_code(row: Row, seed: str, sections: tuple[PlannedSection, ...]) -> str:
    """The key code: six letters and digits, very likely unique within a studio."""
    answers = "|".join(
        part
        for section in sections
        for item in section.items
        if (part := item.exercise.once(_answered))
    )
    number = int(digest(row.student, row.template.name, row.title, seed, answers), 16)
    text = ""
    for _ in range(6):
        number, digit = divmod(number, 32)
        text += _CODE_LETTERS[digit]
    return f"{text[:3]}-{text[3:]}"
