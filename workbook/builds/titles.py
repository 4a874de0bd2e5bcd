"""Titles of print jobs: what a job contains, in one line of limited length.

In: names. Out: a title for the PDF's properties, which a window shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from workbook.inputs.messages import plural
from workbook.marking.mark_sheet import Marked

_MOST = 120
"""Characters of a title."""
_LONGEST = 40
"""Characters of one name in it."""


def listed(head: str, names: Iterable[str]) -> str:
    """``"Workbooks of 14 students: Ada, Bo and 12 more"``: as many names as have room."""
    several = [_cut(name) for name in dict.fromkeys(names)]
    for count in range(min(len(several), _MOST // 2), 1, -1):
        if len(found := _line(head, several, count)) <= _MOST:
            return found
    return _line(head, several, 1)


def _line(head: str, names: Sequence[str], count: int) -> str:
    """The first ``count`` of the names, and how many more there are."""
    more = len(names) - count
    return f"{head}: {', '.join(names[:count])}" + (f" and {more:,} more" if more else "")


def of_students(what: str, books: Sequence[Marked]) -> str:
    """The title of a job of workbooks: ``"Workbooks of 2 students, Spring: Ada, Bo"``."""
    students = list(dict.fromkeys(book.student for book in books))
    titles = {book.title for book in books}
    about = f", {_cut(titles.pop())}" if len(titles) == 1 else ""
    return listed(f"{what} of {plural(len(students), 'student')}{about}", students)


def _cut(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"
