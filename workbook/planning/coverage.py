"""Which keys come next in each family, so that sheets in a row meet all of them evenly.

In: the sheets before, by number or by what was set. Out: keys, the least met first.

Nothing is stored for sheets by number. A title with a number, such as ``"Week 7"``, says how
many sheets came before; their keys are dealt again, without music, and so are known.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from random import Random

from workbook.exercises.families import FAMILIES
from workbook.exercises.family import NO_KEY
from workbook.music.keys import Key
from workbook.studio.template_model import Section, suits

CYCLE = 120
"""Books after which the keys begin again: 12, 15, 24 and 30 keys go into it evenly."""
DAY = re.compile(r"\d{4}-\d\d-\d\d")
_NUMBER = re.compile(r"\d+(?!.*\d)", re.DOTALL)


@dataclass(frozen=True)
class Earlier:
    """What was set to a student: the ``identities`` of exercises (see ``record.identity``),
    and how often each family came in each key, by family and the key's ASCII name. ``before``
    counts the sheets by template. ``sheets`` counts sheets of the same template since then,
    whose keys are dealt again. ``codes`` are the key codes of the sheets, if the record has all.
    """

    identities: frozenset[str] = frozenset()
    keys: Mapping[tuple[str, str], int] = field(default_factory=dict)
    before: Mapping[str, int] = field(default_factory=dict)
    sheets: int = 0
    codes: tuple[str, ...] | None = None


def sheet_number(title: str, seed: str) -> int:
    """How many sheets came before one, by the last number of its title, or by its week.

    Days such as 2027-01-12, in the title or in the seed of a studio's week, count in weeks.

    >>> sheet_number("Week 7", ""), sheet_number("Lessons 2026/27, no. 3", ""), sheet_number("", "")
    (7, 3, 0)
    """
    weeks = sum(_week(day) for text in (title, seed) for day in DAY.findall(text))
    number = _NUMBER.search(DAY.sub("", title))
    return weeks + (int(number.group()[-9:]) if number else 0)


def numbered(title: str) -> bool:
    """Whether a title has a number or a day, which puts sheets in an order."""
    return bool(_NUMBER.search(title))


def _week(day: str) -> int:
    try:
        return date.fromisoformat(day).toordinal() // 7
    except ValueError:
        return 0


class KeyTurns:
    """Deals the keys of one sheet: in each section and in each family the least met first."""

    def __init__(self, name: str, met: Mapping[tuple[str, str], int] | None = None):
        """``name`` is the seed of the order among keys that were met equally often; ``met``
        says how often each family came in each key.
        """
        self._name = name
        self._met = Counter(met or {})
        self._orders: dict[str, dict[Key, int]] = {}

    def skip(
        self, sections: Sequence[Section], keys: Sequence[Key], sheets: Iterable[Sequence[int]]
    ) -> None:
        """Deal the keys of sheets, as if they had been set.

        Each of ``sheets`` says how many exercises every section has on it.
        """
        usable = [usable_keys(section, keys) for section in sections]
        for counts in sheets:
            for section, own, count in zip(sections, usable, counts):
                if count:
                    self._deal(section.family, own, count)

    def deal(self, section: Section, keys: Sequence[Key]) -> list[Key]:
        """A key for each exercise of the section; ``keys`` are those that suit it."""
        return self._deal(section.family, keys, section.count)

    def _deal(self, family: str, keys: Sequence[Key], count: int) -> list[Key]:
        if not keys:
            return []
        order = self._order(family, keys)
        least = sorted(keys, key=lambda k: (self._met[family, k.ascii], order[k]))
        found = [least[number % len(least)] for number in range(count)]
        self._met.update((family, key.ascii) for key in found)
        return found

    def _order(self, family: str, keys: Collection[Key]) -> dict[Key, int]:
        """A place for each key, the same for all sheets; new keys come last."""
        known = self._orders.setdefault(family, {})
        new = sorted({*keys} - known.keys(), key=lambda key: key.ascii)
        for key in Random(f"{self._name}/{family}/{len(known)}").sample(new, len(new)):
            known[key] = len(known)
        return known


def usable_keys(section: Section, keys: Sequence[Key]) -> list[Key]:
    """The ``keys`` in which a section has exercises; one stands for all if its family has none."""
    family = FAMILIES[section.family]
    return [key for key in keys if suits(section, family, key)] if family.keyed else [NO_KEY]
