"""The order in which people list names: numbers in them count as numbers.

In: names. Out: keys to sort them by.
"""

from __future__ import annotations

import re
from pathlib import PurePath

_NUMBER = re.compile(r"(\d+)")


def natural(name: str) -> tuple[object, ...]:
    """A key for sorting, without case.

    >>> sorted(["Week 10", "Week 2", "week 1"], key=natural)
    ['week 1', 'Week 2', 'Week 10']
    """
    # The parts alternate, so a number is never compared with a word.
    parts = _NUMBER.split(name.casefold())
    numbered = (int(part) if place % 2 else part for place, part in enumerate(parts))
    return (*numbered, name)


def natural_path(path: PurePath) -> list[tuple[object, ...]]:
    """A key for sorting paths, folder by folder."""
    return [natural(part) for part in path.parts]
