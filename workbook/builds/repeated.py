"""Sentences for the teacher about exercises that are repeated because there were no others.

In: workbooks, and what repeats in each. Out: a sentence for each kind of repeat.
"""

from __future__ import annotations

from collections.abc import Iterable

from workbook.inputs.messages import plural
from workbook.marking.mark_sheet import Marked
from workbook.planning.plan import Repeats

_MOST = 10
"""Workbooks that a sentence names."""


def told_repeats(books: Iterable[tuple[Marked, Repeats]]) -> list[str]:
    """The sentences; [] if nothing repeats."""
    shared, twice, again = [], [], []
    for book, repeats in books:
        name = f"{book.student}, {book.title}"
        if repeats.shared:
            shared.append(f"{name} ({plural(repeats.shared, 'exercise')})")
        if repeats.had:
            again.append(f"{name} ({plural(repeats.had, 'exercise')})")
        if repeats.sections:
            counted = [
                f"section {letter}: {plural(count, 'exercise')}"
                for letter, count in repeats.sections
            ]
            twice.append(f"{name} ({', '.join(counted)})")
    sentences = (
        ("Shared with an earlier form, because the row’s keys offer no others: ", shared),
        ("Repeated from an earlier sheet, because no others are left: ", again),
        ("Twice in a workbook, because its keys offer no others: ", twice),
    )
    return [f"{what}{listed(names)}." for what, names in sentences if names]


def listed(names: list[str]) -> str:
    """The names, no more than ten of them."""
    rest = len(names) - _MOST
    return "; ".join([*names[:_MOST], *([f"and {rest:,} more"] if rest > 0 else [])])
