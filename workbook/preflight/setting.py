"""Checks how the pages of a workbook are set: tears, margins, last lines, free space.

In: a record, and the bytes and the content of a finished PDF. Out: findings. Where a tear or a
free space cannot be helped, because what follows is higher than the room, there is none.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import closing, suppress
from itertools import pairwise

import pypdfium2

from workbook import design
from workbook.exercises.labels import prompt_says_nothing
from workbook.inputs.messages import quoted
from workbook.pages.layout import SPARE
from workbook.pages.opening import TABLE
from workbook.pdf.content import PageContent
from workbook.preflight.expected import Expected, ExpectedItem
from workbook.preflight.positions import Faults
from workbook.preflight.printed import Line, Printed, paragraphs, printed

_BEYOND = 1.5
"""Points by which a letter may reach over a margin: bounds of letters are not exact."""
_BETWEEN, _CONTINUED, _AROUND, _ABOVE_SECTION = 48.0, 18.0, 30.0, 24.0
"""Points: the most between two systems of one exercise, the height of the heading where it goes
on, and the space that an exercise needs around it, and a section above it."""
_LONG = 0.5
"""A last line longer than this share of the one above leaves no gap, if of one word."""
_COLUMN = 90.0
"""The reach of the number of an exercise and of the letter of a section, to its words."""


def setting_faults(record: Expected, data: bytes, drawn: Sequence[PageContent]) -> Faults:
    """(page, what is wrong) with the setting of a workbook's pages."""
    pages = _read(record, data, drawn)
    for number, page in enumerate(pages, 1):
        if page:
            yield from ((number, what) for what in (*_over_margins(page), *_widows(page)))
    yield from _torn_table(record, pages)
    yield from _torn_items(record, pages)
    yield from _free_space(record, pages)


def margin_faults(record: Expected, data: bytes, drawn: Sequence[PageContent]) -> Faults:
    """(page, what is wrong) with the margins of an answer key."""
    for number, page in enumerate(_read(record, data, drawn), 1):
        if page:
            yield from ((number, what) for what in _over_margins(page))


def _read(record: Expected, data: bytes, drawn: Sequence[PageContent]) -> list[Printed | None]:
    found: list[Printed | None] = []
    with suppress(pypdfium2.PdfiumError), closing(pypdfium2.PdfDocument(data)) as pdf:
        found += (printed(pdf[index], page, record.paper) for index, page in enumerate(drawn))
    return found


def _over_margins(page: Printed) -> Iterator[str]:
    """The first line of text over each side margin, and what to do."""
    beyond = _BEYOND * page.scale
    for side, over in (
        ("left", lambda line: page.left - line.x0 > beyond + _accent(line, line.text[:2])),
        ("right", lambda line: line.x1 - page.right > beyond + _accent(line, line.text[-2:])),
    ):
        for line in filter(over, page.lines):
            yield f"{quoted(line.text)} runs into the {side} margin: shorten it"
            break


def _accent(line: Line, end: str) -> float:
    """How far an accent may hang over the ``end`` of a line, whose letter is narrow or missing."""
    return line.size * any(unicodedata.category(char).startswith("M") for char in end)


def _widows(page: Printed) -> Iterator[str]:
    for lines in paragraphs(page.body):
        if len(lines) < 2:
            continue
        above, last = lines[-2:]
        beside = [one for one in page.body if one is not last and abs(one.y - last.y) < last.size]
        if any(0 < one.x0 - last.x1 < 2 * last.size for one in beside):
            continue  # figures follow
        if last.text.endswith(","):
            continue  # a symbol that begins with a drawn sign follows
        if " " not in above.text or last.x1 - last.x0 > _LONG * (above.x1 - above.x0):
            continue  # a long word, or the end of one: nothing to take down
        new = above.text.rstrip().endswith((".", "!", "?", ":")) or last.text[:1].isupper()
        if len(last.text.split()) == 1 and not new:
            yield f"the last line of a paragraph is one word, {quoted(last.text)}: reword it"


# Tears


def _torn_table(record: Expected, pages: Sequence[Printed | None]) -> Faults:
    """Whether the table of sections continues on the next page, though one page could hold it."""
    letters = [letter for letter, _, _ in record.sections]
    for number, page in enumerate(pages, 1):
        head = next((line for line in page.body if line.text == TABLE), None) if page else None
        if not page or not head:
            continue
        rows = _rows(page, head, head.y)
        after = pages[number] if number < len(pages) else None
        rest = _rows(after, head, after.top + 1) if after else []
        found = [row.text for row in rows]
        if found[: len(letters)] == letters:
            return
        lead = max((a.y - b.y for a, b in pairwise([head, *rows])), default=0.0)
        if (len(letters) + 1) * lead > page.top - page.bottom:
            return
        if [*found, *(row.text for row in rest)][: len(letters)] == letters:
            yield number, "the table of sections continues on the next page: choose a shorter title"
        else:
            yield number, f"the table of sections lacks some of {', '.join(letters)}"
        return


def _rows(page: Printed, head: Line, top: float) -> list[Line]:
    """The letters in a table of sections that is headed by ``head``, below ``top``: in its column,
    and in that on the right.
    """
    right = (page.left + page.right + design.COLUMN_GAP * page.scale) / 2
    return [
        line
        for x in ([head.x0, right] if right - head.x0 > design.COLUMN_GAP else [head.x0])
        for line in page.body
        if line.y < top
        and abs(line.x0 - x) < 3 * page.scale
        and abs(line.size - head.size) < 0.2
        and len(line.text) == 1
        and line.text.isalpha()
    ]


class _Starts:
    """Where the exercises and sections of a page begin, by the number of the exercise."""

    def __init__(self, record: Expected, page: Printed) -> None:
        self.items: dict[int, float] = {}
        self.sections: dict[int, float] = {}
        for line in page.body:
            words = [
                one.text
                for one in page.body
                if abs(one.y - line.y) < 0.75 * line.size
                and 0 < one.x0 - line.x0 < _COLUMN * page.scale
            ]
            if line.text.isdigit() and line.text in record.prompts:
                prompt = record.prompts[line.text]
                silent = prompt_says_nothing(prompt) and _has_points(page, line)
                if silent or any(_begins(prompt, word) for word in words):
                    self.items.setdefault(int(line.text), line.y + line.size)
            for letter, title, first in record.sections:
                large = line.size > 1.15 * design.HANDS["middle"].text * page.scale
                if large and line.text == letter and any(_begins(title, w) for w in words):
                    self.sections[first] = line.y + 1.3 * line.size

    def first(self) -> tuple[int, bool] | None:
        """The exercise with which the page begins, and whether its section begins there."""
        found = [*self.items.items(), *((n, y + 1) for n, y in self.sections.items())]
        if not found:
            return None
        number, _ = max(found, key=lambda one: one[1])
        return number, number in self.sections

    def after(self, y: float) -> float:
        """The next height below ``y`` at which something begins; 0 if nothing does."""
        starts = (*self.items.values(), *self.sections.values())
        return max((one for one in starts if one < y - 2), default=0.0)


def _has_points(page: Printed, line: Line) -> bool:
    """Whether the points of an item end a line."""
    return any(one.y == line.y and one.text.startswith("/") for one in page.body)


def _begins(text: str, words: str) -> bool:
    """Whether ``text`` begins as ``words`` do, spaces apart; figures may follow. A letter alone
    may be an answer.
    """
    whole, start = "".join(text.split()), "".join(words.split())[:8]
    return whole.startswith(start) and len(start) >= min(5, len(whole))


def _torn_items(record: Expected, pages: Sequence[Printed | None]) -> Faults:
    """Exercises that continue on the next page, though one page could hold them."""
    for item in record.items:
        at = sorted({blank.page for blank in item.blanks})
        if len(at) != 2 or at[-1] > len(pages):
            continue
        first, last = pages[at[0] - 1], pages[at[-1] - 1]
        if first and last and _is_torn(record, item, first, last):
            yield (
                at[0],
                f"exercise {item.number} continues on the next page, but would fit on one page",
            )


def _is_torn(record: Expected, item: ExpectedItem, first: Printed, last: Printed) -> bool:
    starts = _Starts(record, first)
    top = starts.sections.get(item.number, starts.items.get(item.number))
    if top is None:
        return False
    room = first.top - first.bottom
    here = top - first.lowest(top)
    below = _Starts(record, last).after(last.top + 10)
    there = last.top - last.lowest(last.top, below) - _CONTINUED * last.scale
    return here + there + _BETWEEN * first.scale < room


def _free_space(record: Expected, pages: Sequence[Printed | None]) -> Faults:
    """Pages with room at their foot for what begins the next page."""
    for number, (page, after) in enumerate(pairwise(pages), 1):
        if not page or not after:
            continue
        begins = _Starts(record, after)
        first = begins.first()
        if first is None:
            continue
        item, opens = first
        top = begins.sections[item] if opens else begins.items[item]
        if top < after.top - 12 * after.scale:
            continue  # an exercise goes on above it
        below = begins.after(begins.items.get(item, top))
        need = after.top - after.lowest(after.top, below)
        need += (_AROUND + _ABOVE_SECTION * opens) * page.scale
        free = _low(page) - page.bottom
        if free > need:
            yield (
                number,
                (
                    f"exercise {item} begins on the next page, but would fit on this one: "
                    f"{free / design.MM:.0f} mm are free, it takes {need / design.MM:.0f} mm"
                ),
            )


def _low(page: Printed) -> float:
    """Where the free space at the foot of a page begins; spare staves are free, too."""
    spare = next((line for line in page.body if line.text == SPARE), None)
    return spare.y + spare.size if spare else page.lowest(page.top)
