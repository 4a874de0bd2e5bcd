"""Checks that the list of answers, ``answers.pdf``, agrees with ``key.json``.

In: a record, and the pages of the list as read by ``pdf.content``. Out: findings. Where a text
stands says what it is: numbers and headings begin a column, labels are a little to the right.
What is in parentheses, filled in as help, is not in the record and not compared.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from workbook import design
from workbook.exercises.families import KINDS
from workbook.marking import accepted
from workbook.marking.answer_rows import AnswerRow, Placed, listing, told
from workbook.marking.spellings import others_spelled, spellings
from workbook.pages.accept_table import COLUMNS, HEADING
from workbook.pages.answer_list import column_places, listed_on
from workbook.pdf.content import PageContent
from workbook.preflight.expected import Expected, ExpectedBlank
from workbook.preflight.positions import Faults, foot_faults
from workbook.preflight.record_faults import listed

_NUMBER = re.compile(r"[0-9]{1,9}")
_HELP = re.compile(r"\([^()]*\)")
_HAIR = 0.1
"""Tolerance of positions in points."""
_TO_RULE = design.LIST_SECTION_RULE - design.LIST_SECTION_BASELINE
"""From the baseline of a section's heading to the rule below."""


@dataclass
class _Found:
    """What the list says: of each item, by its number, line by line, and of other spellings.

    A line of an item is its text without its label.
    """

    items: dict[str, list[str]] = field(default_factory=dict)
    kinds: list[str] = field(default_factory=list)
    spellings: str = ""


def list_faults(record: Expected, pages: list[PageContent]) -> Faults:
    """(page, what is wrong) in the list of answers; faults of items have page 0."""
    for number, page in enumerate(pages, 1):
        yield from foot_faults(record, number, len(pages), page)
    found = _read(record, pages)
    wanted = {str(item.number): item for item in record.items}
    if list(found.items) != list(wanted):
        yield 0, f"the list has items {listed(found.items)}; key.json has {listed(wanted)}"
    for name, item in wanted.items():
        lines = found.items.get(name)
        if lines is not None and not _right(
            tuple(lines), item.staved, tuple(map(accepted.ANSWER, item.blanks)), _shape(item.blanks)
        ):
            said = " ".join(filter(None, lines))
            told = _told(item.staved, map(accepted.ANSWER, item.blanks), _shape(item.blanks))
            text = " ".join(answer for rows in told for row in rows for _, answer in row)
            yield 0, f'the answers to item {name} are "{said}"; key.json has "{text}"'
    yield from _table_faults(record, found)


def _table_faults(record: Expected, found: _Found) -> Faults:
    lines = spellings(others_spelled(record.blanks))
    kinds = list(dict.fromkeys(line.title for line in lines))
    if list(dict.fromkeys(found.kinds)) != kinds:
        yield (
            0,
            f"the table of what to accept has {listed(found.kinds)}; key.json has {listed(kinds)}",
        )
    text = " ".join(f"{line.printed} {line.others}" for line in lines)
    if "".join(found.spellings.split()) != "".join(text.split()):
        yield 0, f'what to accept is "{found.spellings}"; key.json has "{text}"'


def _read(record: Expected, pages: list[PageContent]) -> _Found:
    """What the pages say, sorted by position."""
    found = _Found()
    lines: list[str] | None = None
    table, before = False, 0.0
    for x, y, text in _texts(record, pages):
        begins = abs(x) <= _HAIR
        if text == HEADING and begins:
            table = True
        elif table:
            if begins and text != COLUMNS[0]:
                found.kinds.append(text)
            elif not begins and text not in COLUMNS:
                found.spellings = f"{found.spellings} {text}".strip()
        elif begins:
            lines = found.items.setdefault(text, [""]) if _NUMBER.fullmatch(text) else None
        elif lines is not None:
            if y != before:
                lines.append("")
            if abs(x - design.LIST_LABEL) > _HAIR:
                lines[-1] = f"{lines[-1]} {text}".strip()
        before = y
    return found


def _texts(record: Expected, pages: list[PageContent]) -> Iterator[tuple[float, float, str]]:
    """The texts above the feet of the pages, each with its distance from its column's left edge
    and its height.

    All pages have rules as wide as the page or a column; on punched paper they are moved. The rule
    under a section's heading says whether the section stands in columns.
    """
    paper = listed_on(record.paper)
    width, lefts = column_places(paper)
    foot = paper.bottom - 1
    here = lefts
    for page in pages:
        edge = min((line[0] for line in page.lines), default=0.0)
        rules = {round(line[1]): line[2] - line[0] for line in page.lines}
        for (x, y), text in page.words:
            if y > foot:
                if abs(x - edge) <= _HAIR and (rule := rules.get(round(y - _TO_RULE))):
                    here = lefts[:1] if rule > width + 1 else lefts
                yield _inside(x - edge, here), y, text


def _inside(x: float, lefts: list[float]) -> float:
    """The distance from the left edge of the column, one of ``lefts`` in ascending order."""
    column = bisect_right(lefts, x + _HAIR)
    return x - lefts[column - 1] if column else x


_Row = list[tuple[int, str]]
"""What a row says, each text with its column."""


_Shape = tuple[tuple[int, int, int], ...]
"""Of each blank its page, counted from that of the first one, and the ranks of its lower and upper
edge among all edges.
"""


def _shape(blanks: Sequence[ExpectedBlank]) -> _Shape:
    if not blanks:
        return ()
    first = blanks[0].page
    heights = sorted({height for blank in blanks for height in blank.rect[1::2]})
    rank = {height: number for number, height in enumerate(heights)}
    return tuple(
        [(blank.page - first, rank[blank.rect[1]], rank[blank.rect[3]]) for blank in blanks]
    )


def _told(staved: bool, blanks: Iterable[tuple[Any, ...]], shape: _Shape) -> list[list[_Row]]:
    """What the list must say of an item: rows that take turns, again and again. ``blanks`` have the
    values of ``accepted.Answer``.
    """
    seen = list(map(accepted.Answer._make, blanks))
    placed = [
        Placed(blank, page, (0.0, low, 0.0, high))
        for blank, (page, low, high) in zip(seen, shape, strict=True)
    ]
    shown = listing(placed, accepted.box_rows(seen), staved)
    return [
        *([_texts_of(row) for row in system] for system in shown.systems),
        [[(0, note) for note in shown.notes]],
    ]


def _texts_of(row: AnswerRow[accepted.Answer]) -> _Row:
    if KINDS[row.asks].usual:
        return [(0, text) for said in told(row) for text in said]
    return [(blank.column, blank.answer) for column in row.columns for blank in column]


@lru_cache(maxsize=1024)  # many students have the same exercise
def _right(
    lines: tuple[str, ...], staved: bool, blanks: tuple[tuple[Any, ...], ...], shape: _Shape
) -> bool:
    """Whether the lines say what they must say of an item; see ``_told``."""
    return _agree(lines, _told(staved, blanks, shape))


def _agree(lines: Iterable[str], wanted: list[list[_Row]]) -> bool:
    """Whether the lines say what is wanted, apart from those that have nothing but help."""
    left = [said for said in map(_close, lines) if said]
    return all(_takes(left, rows) for rows in wanted) and not left


def _takes(left: list[str], rows: list[_Row]) -> bool:
    """Whether the lines begin with what the rows say, which is removed from them.

    A single row takes as many lines as it needs. Rows that take turns have a line each with what
    they say in the next columns, the same columns for all; if they say nothing there, they have
    no line.
    """
    if len(rows) == 1:
        text = _close("".join(said for _, said in rows[0]))
        while text:
            if not left or not text.startswith(left[0]):
                return False
            text = text[len(left.pop(0)) :]
        return True
    columns = sorted({column for row in rows for column, _ in row})
    while columns:
        for count in range(1, len(columns) + 1):
            turn = _turn(rows, columns[:count])
            if left[: len(turn)] == turn:
                break
        else:
            return False
        del left[: len(turn)], columns[:count]
    return True


def _turn(rows: list[_Row], columns: list[int]) -> list[str]:
    """What the rows say in these columns, without those that say nothing."""
    said = (_close("".join(text for column, text in row if column in columns)) for row in rows)
    return list(filter(None, said))


def _close(text: str) -> str:
    """A text without what is given as help, and without what may be between two answers."""
    return re.sub(r"[\s-]", "", _HELP.sub("", text))
