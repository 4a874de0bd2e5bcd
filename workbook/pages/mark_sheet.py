"""The mark sheet of a studio on paper: a row for each workbook, a column for each section.

In: the studio's workbooks, and the points that are known. Out: pages in landscape format.
"""

from __future__ import annotations

from workbook.design import (
    MARKS_CODE,
    MARKS_COLUMNS,
    MARKS_HEAD,
    MARKS_LEADING,
    MARKS_NAME,
    MARKS_TITLE,
    MARKS_TOTAL,
    PAPERS,
    TABLE_MARGIN,
    TABLES_ON,
)
from workbook.marking.mark_sheet import NO_MARKS, TOTAL, Marked, Marks, section_letters
from workbook.pages.elements import (
    ARTIFACT,
    DOCUMENT,
    Element,
    Entry,
    Group,
    Page,
    Rule,
    Start,
    Text,
    table_row,
)
from workbook.typesetting import text


def size(paper: str) -> tuple[float, float]:
    """Width and height of a landscape page in points."""
    width, height = PAPERS[TABLES_ON.get(paper, paper)]
    return height, width


def lay_out_marks(books: list[Marked], paper: str, marks: Marks = NO_MARKS) -> list[Page]:
    """The pages of the mark sheet, with a legend of the section letters below the rows.

    ``marks`` has points to print, by key code and column.
    """
    width, height = size(paper)
    columns = section_letters(books)[:MARKS_COLUMNS]
    each = (width - 2 * TABLE_MARGIN - MARKS_NAME - MARKS_TITLE - MARKS_CODE - MARKS_TOTAL) / max(
        len(columns), 1
    )
    each = min(each, 60.0)
    rows = int((height - 2 * TABLE_MARGIN - MARKS_HEAD - MARKS_LEADING) / MARKS_LEADING)
    pages = [
        _sheet(books[start : start + rows], columns, each, height, marks, first=not start)
        for start in range(0, len(books), rows)
    ]
    _legend(pages, books, width, height)
    for number, page in enumerate(pages, 1):
        page.elements += [
            Start(ARTIFACT),
            Text(
                width - TABLE_MARGIN,
                TABLE_MARGIN - 16,
                f"page {number} of {len(pages)}",
                "regular",
                9,
                "right",
            ),
        ]
    return pages


def _sheet(
    books: list[Marked],
    columns: list[str],
    each: float,
    height: float,
    marks: Marks,
    *,
    first: bool,
) -> Page:
    y = height - TABLE_MARGIN - 18
    end = TABLE_MARGIN + MARKS_NAME + MARKS_TITLE + MARKS_CODE + each * len(columns) + MARKS_TOTAL
    elements: list[Element] = [
        Entry("Mark sheet", height),
        Start(DOCUMENT, "H1") if first else Start(ARTIFACT),
        Text(TABLE_MARGIN, y, "Mark sheet", "bold", 16),
    ]
    table = Group("Table", DOCUMENT)
    row = table_row(table)
    y = height - TABLE_MARGIN - MARKS_HEAD
    begin = TABLE_MARGIN + MARKS_NAME + MARKS_TITLE + MARKS_CODE
    edges = [begin + each * (index + 1) for index in range(len(columns))] + [end]
    heads = [*columns, "Total"]
    names = [
        Text(TABLE_MARGIN + 2, y + 6, "Student", "bold"),
        Text(TABLE_MARGIN + MARKS_NAME, y + 6, "Workbook", "bold"),
        Text(
            TABLE_MARGIN + MARKS_NAME + MARKS_TITLE,
            y + 6,
            "Key code",
            "bold",
            9,
        ),
        *(Text(edge - 4, y + 6, head, "bold", align="right") for edge, head in zip(edges, heads)),
    ]
    for name in names:
        elements += [Start(row, "TH", "Column"), name]
    elements.append(Rule(TABLE_MARGIN, y, end, y, 0.9))
    top = y
    for book in books:
        y -= MARKS_LEADING
        row = table_row(table)
        elements += [
            Start(row, "TH", "Row"),
            Text(
                TABLE_MARGIN + 2,
                y + 7,
                text.shorten(book.student, "regular", 10, MARKS_NAME - 8),
                size=10,
            ),
            Start(row, "TD"),
            Text(
                TABLE_MARGIN + MARKS_NAME,
                y + 7,
                text.shorten(book.title, "regular", 10, MARKS_TITLE - 6),
                size=10,
            ),
            Start(row, "TD"),
            Text(
                TABLE_MARGIN + MARKS_NAME + MARKS_TITLE,
                y + 7,
                book.code,
                size=9,
            ),
            Rule(TABLE_MARGIN, y, end, y, 0.4),
        ]
        known = marks.get(book.code, {})
        cells = [
            f"{known.get(letter, '')} / {points}".strip()
            for letter, _, points in book.sections[: len(columns)]
        ]
        total = f"{known.get(TOTAL, '')} / {book.points}".strip()
        cells += [""] * (len(columns) - len(cells)) + [total]
        for edge, cell, width in zip(edges, cells, [*[each] * len(columns), MARKS_TOTAL]):
            shown = Text(edge - 4, y + 7, cell, size=_fitting(cell, width), align="right")
            elements += [Start(row, "TD"), shown]
    elements += [Rule(x, top + 20, x, y, 0.4) for x in (begin, *edges)]
    return Page(elements)


def _fitting(cell: str, width: float) -> float:
    """The size at which the text of a cell fits its column."""
    return min(8.5, 8.5 * (width - 7) / max(text.width(cell, "regular", 8.5), 1.0))


def _legend(pages: list[Page], books: list[Marked], width: float, height: float) -> None:
    """Add the sections' letters and titles for each workbook, on a new page if necessary.

    Workbooks with the same title and sections share one entry.
    """
    contents = dict.fromkeys(
        (
            tuple((letter, title) for letter, title, _ in book.sections),
            book.title.split(", form ")[0],
        )
        for book in books
    )
    lines = []
    starts: list[Start] = []
    for sections, title in contents:
        entry = f"{title}: " + ", ".join(f"{letter} {name}" for letter, name in sections)
        some = text.wrap(entry, "italic", 9, width - 2 * TABLE_MARGIN)
        lines += some
        starts += [Start(DOCUMENT, "P")] * len(some)
    low = min(
        (element.y0 for element in pages[-1].elements if isinstance(element, Rule)), default=0.0
    )
    y = low - 8
    for line, start in zip(lines, starts):
        if y - 13 < TABLE_MARGIN:
            pages.append(Page())
            y = height - TABLE_MARGIN
        y -= 13
        pages[-1].elements += [start, Text(TABLE_MARGIN, y, line, "italic", 9)]
