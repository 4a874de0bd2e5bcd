"""What the pages of a workbook must show according to its record.

In: a record. Out: its blanks by page, and the prompt of each item.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from workbook.design import PAPERS, SIZES
from workbook.exercises.model import DRAWN
from workbook.pages.paper import Paper
from workbook.record.model import Item, Match, Record, Rect
from workbook.record.reader import Unreadable

_new = tuple.__new__  # what a named tuple does, without its function


class ExpectedBlank(NamedTuple):
    """A blank. ``rect`` is in points from the page's lower left corner.

    ``also`` has every other answer that can be right, ``versions`` this blank's answer in each
    version of its group. See ``record.model``.
    """

    name: str
    asks: str
    hand: str
    answer: str
    page: int
    rect: Rect
    column: int
    also: tuple[str, ...]
    versions: tuple[str, ...]

    @property
    def drawn(self) -> bool:
        """Whether the answer is written on the music, without a box."""
        return self.asks in DRAWN

    @property
    def visible(self) -> bool:
        """Whether the answer shows ink; a drawn answer "none" does not."""
        return self.answer.strip() not in (("", "none") if self.drawn else ("",))


@dataclass(frozen=True)
class ExpectedItem:
    """An item and the page on which it begins; ``staved`` if it has music on staves."""

    number: int
    page: int
    points: int
    prompt: str
    staved: bool
    blanks: tuple[ExpectedBlank, ...]


@dataclass(frozen=True)
class Expected:
    """What the pages of one workbook must show. ``title`` has the form's letter, if any.

    ``sections`` has letter, title and first item of each.
    """

    student: str
    title: str
    code: str
    paper: Paper
    points: int
    items: tuple[ExpectedItem, ...]
    sections: tuple[tuple[str, str, int], ...]
    in_place: dict[int, list[Rect]] = field(default_factory=dict, compare=False, repr=False)
    """The boxes of each page that were found in place, in drawing order."""

    @cached_property
    def blanks(self) -> list[ExpectedBlank]:
        return [blank for item in self.items for blank in item.blanks]

    @cached_property
    def _pages(self) -> dict[int, list[ExpectedBlank]]:
        pages = defaultdict(list)
        for blank in self.blanks:
            pages[blank.page].append(blank)
        return pages

    @cached_property
    def prompts(self) -> dict[str, str]:
        """The prompt of each item by its number, with single spaces as on the page."""
        return {str(item.number): " ".join(item.prompt.split()) for item in self.items}

    @cached_property
    def initials(self) -> frozenset[str]:
        """The first character of each prompt."""
        return frozenset(prompt[:1] for prompt in self.prompts.values())

    def on(self, page: int) -> list[ExpectedBlank]:
        """The blanks of a page."""
        return self._pages.get(page, [])


def expected(record: Record) -> Expected:
    """What the pages must show. Raises Unreadable if the paper or the size is unknown."""
    for what, value, known in (("paper", record.paper, PAPERS), ("size", record.size, SIZES)):
        if value not in known:
            raise Unreadable(f'its {what} is "{value}"; it can be {", ".join(known)}')
    return Expected(
        record.student,
        f"{record.title}, form {record.form}" if record.form else record.title,
        record.code,
        Paper(record.paper, record.size),
        record.points,
        tuple(
            ExpectedItem(i.number, i.page, i.points, i.prompt, bool(i.notes), _blanks(i))
            for i in record.items
        ),
        tuple((s.letter, s.title, s.items[0].number) for s in record.sections if s.items),
    )


def _blanks(item: Item) -> tuple[ExpectedBlank, ...]:
    grouped = bool(item.groups)
    found = []
    for blank in item.blanks:
        name, asks, hand, column, _, match, answer, accept, _, page, rect = blank
        other = grouped or accept or match == Match.CROSSING
        also = item.also(blank) if other else ()
        versions = item.versions(blank) if grouped else ()
        found.append(
            _new(ExpectedBlank, (name, asks, hand, answer, page, rect, column, also, versions))
        )
    return tuple(found)
