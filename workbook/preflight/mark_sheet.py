"""Checks that the mark sheet has the same workbooks and points as a table and on paper.

In: the bytes of ``mark-sheet.csv`` and the pages of ``mark-sheet.pdf``. Out: findings.
Marks that a teacher has entered in the table are ignored, as are rows and columns of the
teacher's own and the order of the rows.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from workbook.marking.mark_table import read_mark_table
from workbook.pdf.content import PageContent, Words
from workbook.pdf.finished import Unreadable
from workbook.preflight.positions import Faults

_CODE = re.compile(r"[2-9A-Z]{3}-[2-9A-Z]{3}")
_POINTS = re.compile(r"/ (\d{1,9})")


@dataclass(frozen=True)
class Line:
    """A workbook: its key code, the points of its sections and, last, their total.

    Lines of the table also have ``name`` (student and title, for messages) and the row's
    number. Their ``points`` are empty if the teacher has removed these columns.
    """

    code: str
    points: tuple[int, ...]
    name: str = ""
    row: int = 0


def read_table(data: bytes) -> list[Line]:
    """The rows of the table that belong to a workbook. Raises Unreadable."""
    try:
        table = read_mark_table(data)
        if table.faults:
            raise Unreadable(table.faults[0])
        return [
            Line(row.code, row.points(), f"{row.student}, {row.title}", row.number)
            for row in table.rows
            if row.code
        ]
    except ValueError as error:
        raise Unreadable(str(error)) from None


def table_faults(lines: list[Line]) -> Faults:
    """(page, what is wrong) within the table; the page is always 0."""
    rows: dict[str, int] = {}
    for line in lines:
        first = rows.setdefault(line.code, line.row)
        if first != line.row:
            what = f"rows {first} and {line.row} are both for the workbook {line.code}"
            yield 0, f"{what}; keep one of them"
        *sections, total = line.points or (0,)
        if sum(sections) != total:
            yield (
                0,
                (
                    f"row {line.row}: the sections' points add up to {sum(sections)}, "
                    f"but the total is {total}"
                ),
            )


def paper_faults(lines: list[Line], pages: list[PageContent]) -> Faults:
    """(page, what is wrong) where the paper differs from the table."""
    found = [(number, line) for number, page in enumerate(pages, 1) for line in _lines(page)]
    by_code = {line.code: line for line in lines}
    if sorted(line.code for _, line in found) != sorted(by_code):
        yield 0, "the key codes differ from those of the table"
        return
    for number, drawn in found:
        points = by_code[drawn.code].points
        # the paper has room for a limited number of sections
        wanted = (*points[: len(drawn.points) - 1], *points[-1:])
        if points and drawn.points != wanted:
            yield (
                number,
                (f"the points of {drawn.code} are {drawn.points}; the table has {points}"),
            )


def _lines(page: PageContent) -> list[Line]:
    rows: dict[float, list[Words]] = {}
    for words in page.words:
        rows.setdefault(words.at[1], []).append(words)
    lines = []
    for row in rows.values():
        texts = [words.text for words in sorted(row)]
        codes = [text for text in texts if _CODE.fullmatch(text)]
        points = tuple(int(found[1]) for text in texts if (found := _POINTS.fullmatch(text)))
        if codes and points:  # the name of a student or workbook may look like a code
            lines.append(Line(codes[-1], points))
    return lines
