"""Weekly sheets: the exercises of a template, dealt out over a round of short sheets.

In: a template, and the room that each of its sections takes. Out: rounds, those of the fewest
sheets first. Which of them fits its pages is for whoever draws them to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, islice
from math import ceil

from workbook.planning.coverage import CYCLE
from workbook.studio.template_model import Section, Template

_SHARE = 0.45
"""The most of a sheet that one section takes, if it has exercises enough to be parted."""
_OVER = 1.1
"""How much more than an even share a sheet may get so that a section's parts stand apart."""
_MOVES = 3
"""Exercises that may be moved to mend a round, for each of its sheets."""

Fits = Callable[[tuple[int, ...]], bool]
"""Whether so many exercises of each section fit on the pages of a sheet."""


@dataclass(frozen=True)
class Round:
    """The weekly sheets that have every exercise of a template once.

    ``sheets`` says of each how many exercises every section of the template has on it.

    >>> Round(((2, 0), (1, 1))).share(3)
    (1, 1)
    """

    sheets: tuple[tuple[int, ...], ...]

    def share(self, number: int) -> tuple[int, ...]:
        """What is on a sheet, by how many came before it."""
        return self.sheets[number % len(self.sheets)]

    def shares(self, first: int, count: int) -> Iterator[tuple[int, ...]]:
        """What is on ``count`` consecutive sheets from the sheet ``first``."""
        start = first % len(self.sheets)
        return islice(cycle(self.sheets), start, start + count)

    def before(self, number: int) -> Iterator[tuple[int, ...]]:
        """What is on the sheets before one, as far as they matter for its keys."""
        rounds, rest = divmod(number, len(self.sheets))
        return self.shares(0, rounds % CYCLE * len(self.sheets) + rest)


def whole(template: Template) -> Round:
    """The round of a template whose sheets have all of its exercises."""
    return Round((tuple(section.count for section in template.sections),))


def shortened(share: Sequence[int], by: int) -> tuple[int, ...]:
    """The share with ``by`` exercises fewer, each from the last of the longest sections.

    One exercise always stays.

    >>> shortened((2, 3, 3), 2)
    (2, 2, 2)
    """
    counts = list(share)
    for _ in range(min(by, sum(counts) - 1)):
        longest = max(counts)
        counts[len(counts) - 1 - counts[::-1].index(longest)] -= 1
    return tuple(counts)


def parted(template: Template, share: Sequence[int]) -> Template:
    """The template with so many exercises of each section; a section without any is left out.

    Worked examples, which take the room of exercises, are only in the whole workbook.
    """
    sections = [
        replace(section, count=count, example=False)
        for section, count in zip(template.sections, share, strict=True)
        if count
    ]
    return replace(template, sections=tuple(sections))


def rounds(sections: Sequence[Section], heights: Sequence[float], room: float) -> Iterator[Round]:
    """Rounds of more and more sheets, until each sheet has one exercise.

    ``heights`` has what each section takes with its heading, ``room`` what a sheet has, in
    points. Every round is dealt evenly: no sheet has more than it must, and sections that take
    much of a sheet are divided among several.
    """
    exercises = sum(section.count for section in sections)
    for count in range(max(1, int(sum(heights) / room)), exercises + 1):
        yield _round(sections, heights, min(count, exercises))


def _round(sections: Sequence[Section], heights: Sequence[float], count: int) -> Round:
    """Largest pieces first, each to the emptiest sheet that has nothing of its section."""
    most = _SHARE * sum(heights) / count
    pieces = [
        (height * size / section.count, index, size)
        for index, (section, height) in enumerate(zip(sections, heights))
        for size in _sizes(section.count, min(section.count, ceil(height / most)))
    ]
    while len(pieces) < count:  # a sheet may not be empty: the largest piece becomes two
        high, index, size = max(pieces, key=lambda piece: (piece[2] > 1, piece[0]))
        pieces.remove((high, index, size))
        pieces += [(high * part / size, index, part) for part in _sizes(size, 2)]
    sheets = [[0] * len(sections) for _ in range(count)]
    full = [0.0] * count
    for high, index, size in sorted(pieces, key=lambda piece: (-piece[0], piece[1])):
        over = [bool(before) and before + high > _OVER * sum(heights) / count for before in full]
        at = min(range(count), key=lambda n: (over[n], bool(sheets[n][index]), full[n], n))
        sheets[at][index] += size
        full[at] += high
    return Round(tuple(map(tuple, sheets)))


def mended(found: Round, heights: Sequence[float], fits: Fits) -> Round | None:
    """The round with single exercises moved from sheets that do not fit to others that still
    do; None if that does not help. ``heights`` has what an exercise of each section takes.
    Nothing can be moved from a sheet with one exercise, which counts as fitting.
    """
    sheets = list(found.sheets)
    for _ in range(_MOVES * len(sheets)):
        over = next((n for n, one in enumerate(sheets) if sum(one) > 1 and not fits(one)), None)
        if over is None:
            return Round(tuple(sheets))
        moves = [
            (fits(less := _with(sheets[over], index, -1)), heights[index], index, to, less, more)
            for index, count in enumerate(sheets[over])
            for to, share in enumerate(sheets)
            if count and to != over and fits(more := _with(share, index, 1))
        ]
        if not moves:
            return None
        # the least that is enough, or else the most
        best = min(moves, key=lambda one: (not one[0], one[1] if one[0] else -one[1], one[2:4]))
        sheets[over], sheets[best[3]] = best[4:]
    return None


def _with(share: tuple[int, ...], index: int, more: int) -> tuple[int, ...]:
    return (*share[:index], share[index] + more, *share[index + 1 :])


def _sizes(count: int, parts: int) -> list[int]:
    """``count`` exercises in parts that are as even as possible."""
    return [count // parts + (number < count % parts) for number in range(parts)]
