"""How many weekly sheets a round of a template takes, so that each fits its pages.

In: orders whose templates say how many pages a sheet has. Out: the orders with their rounds.

A round must be the same from week to week, so it is found without the week's exercises: from
three times as many as the template has, in the row's keys, of which each sheet gets those that
take most room. A sheet that is still too long loses exercises (``drawing.order_books``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import chain

from workbook.builds.drawing import Engrave
from workbook.builds.orders import Fingerings, Order
from workbook.builds.repeated import listed
from workbook.engraving.snippet import Snippet
from workbook.inputs.messages import plural
from workbook.marking.mark_sheet import Marked
from workbook.music.keys import Key
from workbook.pages.columns import frames, hand_of, most_columns
from workbook.pages.flow import Block, fill
from workbook.pages.opening import opening
from workbook.pages.paper import Paper
from workbook.pages.section import section_blocks
from workbook.planning.coverage import numbered, sheet_number
from workbook.planning.dealing import plan
from workbook.planning.plan import Item, Plan
from workbook.planning.weekly import Round, mended, rounds
from workbook.studio.roster import Row
from workbook.studio.template_model import Template

_FACTOR, _LEAST = 3, 6
"""Exercises of a section that are looked at: so many times its own, and at least so many."""
_STUDENT, _TITLE = "Maximiliane Featherstonehaugh-Ota", "Lessons, week 188"
"""The words of a sheet that is only measured, longer than most."""

_Kind = tuple[Template, tuple[Key, ...], Paper]


def in_rounds(every: Sequence[Order], tables: Fingerings, engrave: Engrave) -> list[Order]:
    """The orders; those of weekly sheets with the rounds that they are in.

    Rows of one template with the same keys and paper have one round.
    """
    wanted = {_kind(one): one for one in every if _is_weekly(one)}
    if not wanted:
        return list(every)
    found = _rounds(wanted, tables, engrave)
    return [replace(one, weekly=found[_kind(one)]) if _is_weekly(one) else one for one in every]


def _is_weekly(order: Order) -> bool:
    return bool(order.row.template.pages) and not order.targets and not order.weekly


def _kind(order: Order) -> _Kind:
    return order.row.template, order.row.keys, order.paper


def _rounds(
    wanted: Mapping[_Kind, Order], tables: Fingerings, engrave: Engrave
) -> dict[_Kind, Round]:
    plans = [_sample(order, tables) for order in wanted.values()]
    snippets = iter(
        engrave(
            [item.exercise for one in plans for item in one.drawn],
            [
                frame
                for one, order in zip(plans, wanted.values())
                for frame in frames(one, order.paper)
            ],
        )
    )
    return {
        kind: _Measured(order, one, {item.number: next(snippets) for item in one.drawn}).round()
        for (kind, order), one in zip(wanted.items(), plans)
    }


def _sample(order: Order, tables: Fingerings) -> Plan:
    """A workbook with more exercises of each section than the template has."""
    template = order.row.template
    sections = tuple(
        replace(section, count=max(_FACTOR * section.count, _LEAST), example=False)
        for section in template.sections
    )
    row = Row(_STUDENT, replace(template, sections=sections), order.row.keys, _TITLE, None, 2)
    return replace(plan(row, "", 0, tables.of(order.row)), weekly=True)


class _Measured:
    """A sample of a template's exercises, and their snippets by number."""

    def __init__(self, order: Order, plan: Plan, snippets: Mapping[int, Snippet]):
        self._order, self._plan, self._snippets = order, plan, snippets
        self._paper, self._most = order.paper, most_columns(plan, order.paper)
        self._sections, self._pages = order.row.template.sections, order.row.template.pages or 1
        self._opening = opening(plan, order.paper)
        self._blocks: dict[tuple[int, int], list[Block]] = {}
        self._known: dict[tuple[int, ...], bool] = {}

    def round(self) -> Round:
        """The round of the fewest sheets of which each fits its pages, or has one exercise."""
        heights = [self._height(index, one.count) for index, one in enumerate(self._sections)]
        each = [high / one.count for high, one in zip(heights, self._sections)]
        *possible, last = rounds(self._sections, heights, self._pages * self._room)
        mends = (mended(one, each, self._fits) for one in possible)
        return next(filter(None, mends), last)

    @property
    def _room(self) -> float:
        return self._paper.top - self._paper.bottom

    def _section(self, index: int, count: int) -> list[Block]:
        """The blocks of a section with ``count`` exercises that take much room: the highest
        ones, or some in a row of which one needs the whole measure.
        """
        if (index, count) not in self._blocks:
            items = self._plan.sections[index].items
            highest = sorted(items, key=lambda item: -self._snippets[item.number].height)
            some = [tuple(highest[:count])]
            some += [items[start : start + count] for start in range(len(items) - count + 1)]
            self._blocks[index, count] = max((self._set(index, one) for one in some), key=_high)
        return self._blocks[index, count]

    def _set(self, index: int, items: Sequence[Item]) -> list[Block]:
        return section_blocks(
            replace(self._plan.sections[index], items=tuple(items)),
            self._snippets,
            self._paper,
            hand_of(self._plan, self._paper),
            self._most,
            self._plan.row.template.naming,
            brief=False,
        )

    def _height(self, index: int, count: int) -> float:
        return _high(self._section(index, count))

    def _fits(self, share: tuple[int, ...]) -> bool:
        if share not in self._known:
            sections = [self._section(n, count) for n, count in enumerate(share) if count]
            pages = fill([*self._opening, *chain.from_iterable(sections)], self._room)
            self._known[share] = len(pages) <= self._pages
        return self._known[share]


def _high(blocks: Iterable[Block]) -> float:
    return sum(block.above + block.height for block in blocks)


def told_rounds(every: Iterable[Order], seed: str) -> list[str]:
    """Sentences for the teacher about the rounds: one for each template, and one about rows that
    get the first sheet because their titles have no number.
    """
    found: dict[tuple[str, int], set[int]] = {}
    first: dict[str, None] = {}
    for order in every:
        row = order.row
        if order.weekly:
            found.setdefault((row.template.title, row.template.pages or 1), set()).add(
                len(order.weekly.sheets)
            )
            if not (order.earlier or numbered(row.title) or sheet_number("", row.seed or seed)):
                first[row.student] = None
    told = [
        f"{title}: one round of all sections takes {_either(counts)} of {plural(pages, 'page')}."
        for (title, pages), counts in found.items()
    ]
    if first:
        told.append(
            f"The first sheet of a round: {listed(list(first))}. Number the sheets in the column "
            "title (Week 1, Week 2 …), or write dates, so that the next builds continue the round."
        )
    return told


def told_left_out(books: Iterable[tuple[Marked, int]]) -> list[str]:
    """The sentence on exercises that did not fit on the pages of their sheets; [] if all did."""
    found = [
        f"{book.student}, {book.title} ({plural(count, 'exercise')})"
        for book, count in books
        if count
    ]
    return [f"Left out because the pages were full: {listed(found)}."] if found else []


def _either(counts: Iterable[int]) -> str:
    *others, last = sorted(counts)
    return "".join(f"{count} or " for count in others) + plural(last, "sheet")
