"""The cells of a level: every skill that it trains, in every key.

In: a template and keys. Out: cells, each with the ways in which the template can ask for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from workbook.estimates.results import Cell
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import NO_KEY, Family
from workbook.exercises.settings import FORMS, form_in
from workbook.music.keys import Key
from workbook.music.scales import scale_forms
from workbook.studio.template_model import Section, Template, combinations

_new = tuple.__new__  # what a named tuple does, without its function


@dataclass(frozen=True)
class Choice:
    """A way to ask for a cell: a section of the template, by its index, and what it chooses."""

    section: int
    hand: str
    settings: tuple[tuple[str, Any], ...]


Ways = Mapping[Cell, tuple[Choice, ...]]
"""The cells of a level, and the ways to ask for each."""


def cells(template: Template, keys: Iterable[Key]) -> Ways:
    """The cells of a template in the order of ``keys``, those in no key with the first.

    Within a key, each section of the template gives its first skill, then each its second, and
    so on: neighbours differ.
    """
    found: dict[Cell, tuple[Choice, ...]] = {}
    sections = [_Asked(index, section) for index, section in enumerate(template.sections)]
    in_order: dict[tuple[int, ...], list[tuple[str, bool, tuple[Choice, ...]]]] = {}
    for place, key in enumerate(keys):
        # what is in no key is met with the first
        here = [one for one in sections if one.family.keyed or not place]
        lists = [one.listed(key if one.family.keyed else NO_KEY) for one in here]
        same, name = tuple(map(id, lists)), key.ascii
        if same not in in_order:
            in_order[same] = _in_order(here, lists)
        for skill, keyed, ways in in_order[same]:
            cell = _new(Cell, (skill, name if keyed else ""))
            found.pop(cell, None)  # of a key that is named twice, the last counts
            found[cell] = ways
    return found


def _in_order(
    sections: Sequence[_Asked], lists: Sequence[Sequence[_Named]]
) -> list[tuple[str, bool, tuple[Choice, ...]]]:
    """The skills of one key, whether they are in it, and the ways to ask for each; ``lists`` has
    those of each section.
    """
    turns: dict[tuple[str, bool], tuple[int, int]] = {}
    found: dict[tuple[str, bool], dict[Choice, None]] = {}
    for index, (section, named) in enumerate(zip(sections, lists)):
        count = 0
        for skill, choice in named:
            name = skill, section.family.keyed
            if name not in turns:
                turns[name] = count, index
                count += 1
            found.setdefault(name, {})[choice] = None
    return [(*name, tuple(found[name])) for name in sorted(turns, key=turns.__getitem__)]


def keys_of(level: Iterable[Cell]) -> tuple[str, ...]:
    """The keys of a level in its order, then "" if it has cells in no key."""
    return tuple(sorted(dict.fromkeys(cell.key for cell in level), key=lambda key: not key))


class Levels:
    """The cells of templates, worked out once for all rows with the same sections and keys."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, tuple[Key, ...]], tuple[Sequence[Section], Ways]] = {}

    def of(self, template: Template, keys: Iterable[Key]) -> Ways:
        """As ``cells``."""
        name = template.name, tuple(keys)
        known = self._known.get(name)
        if known is None or known[0] != template.sections:
            known = self._known[name] = template.sections, cells(template, name[1])
        return known[1]


_Named = tuple[str, Choice]
"""A skill, and a way to ask for it."""


class _Asked:
    """A section of a template, and the skills that it asks for in a key."""

    def __init__(self, index: int, section: Section):
        self._index, self._hands = index, section.hands
        self.family = FAMILIES[section.family]
        self._chosen = [(one, self.family.complete(one)) for one in combinations(section)]
        self._known: dict[tuple[int, tuple[str, ...], str], list[_Named]] = {}
        self._settled: dict[tuple[int, str, int, str, str], _Named] = {}
        self._listed: dict[tuple[int, ...] | tuple[str, ...], tuple[_Named, ...]] = {}

    def listed(self, key: Key) -> tuple[_Named, ...]:
        """As ``choices``, the same object where they are the same."""
        forms = scale_forms(key)
        if self.family.settles or self.family.ruled:
            found = tuple(self.choices(key))
            return self._listed.setdefault(tuple(map(id, found)), found)
        if forms not in self._listed:
            self._listed[forms] = tuple(self.choices(key))
        return self._listed[forms]

    def choices(self, key: Key) -> Iterator[_Named]:
        """The skills in ``key``, each as often as there are ways to ask for it."""
        forms = scale_forms(key)
        for number, (chosen, complete) in enumerate(self._chosen):
            if chosen.get(FORMS, forms[0]) not in forms:
                continue
            for hand in self._hands:
                if not self.family.problem_of(complete, key, hand):
                    yield from self._named(number, key, forms, hand)

    def _named(self, number: int, key: Key, forms: tuple[str, ...], hand: str) -> Iterable[_Named]:
        """The skills of one combination of settings; the same in all keys with the same ``forms``,
        unless the family settles what cannot be set as asked.
        """
        if self.family.settles:
            return self._worked_out(number, key, hand)
        name = number, forms, hand
        if name not in self._known:
            self._known[name] = list(self._worked_out(number, key, hand))
        return self._known[name]

    def _worked_out(self, number: int, key: Key, hand: str) -> Iterator[_Named]:
        (chosen, before), family = self._chosen[number], self.family
        for place, settings in enumerate(_complete(family, before, key)):
            form = settings.get(FORMS, "")
            settled, side = family.settle(settings, key, hand)
            name = number, form, place, hand, side
            if settled is settings and name in self._settled:
                yield self._settled[name]  # the same in all keys
                continue
            counts = FORMS in family.settings and family.settings[FORMS].counts(settings)
            skill = family.skill(settled, side, form if counts else "")
            asked = {**chosen, **_left_to_chance(before, settings)}
            found = skill, Choice(self._index, hand, tuple(sorted(asked.items())))
            if settled is settings:
                self._settled[name] = found
            yield found


def _complete(family: Family, before: Mapping[str, Any], key: Key) -> Iterator[dict[str, Any]]:
    """Complete settings; one that is left to chance and makes another skill has each value."""
    settings = dict(before)
    if FORMS in settings:
        settings[FORMS] = form_in(key, settings[FORMS], family.settings[FORMS].default)
    open_names = [
        name for name, value in settings.items() if value is None and family.settings[name].skill
    ]
    for values in product(*(family.settings[name].values for name in open_names)):
        yield settings | dict(zip(open_names, values))


def _left_to_chance(before: Mapping[str, Any], settings: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: value
        for name, value in settings.items()
        if before[name] is None and value is not None
    }
