"""Checks the print jobs of a studio: every book complete, in order and on a front side.

In: the pages of ``all-workbooks.pdf`` and ``all-answer-keys.pdf``, which must correspond page
by page. Out: findings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from workbook.pdf.content import PageContent
from workbook.preflight.positions import Faults

_FOOT = re.compile(r"page (\d{1,9}) of (\d{1,9})")
_CODE = re.compile(r"[2-9A-Z]{3}-[2-9A-Z]{3}")

Foot = tuple[int, int, str] | None
"""Page number, page count and key code in a footer; None for a page without a footer."""


def feet(pages: list[PageContent]) -> Iterator[Foot]:
    """The footer of each page, found when it is asked for."""
    return map(_foot, pages)


def _foot(page: PageContent) -> Foot:
    # the lowest line: student (any text at all), page number, key code
    low = min([y for (_, y), _ in page.words], default=0.0)
    lowest = [words for words in page.words if words.at[1] == low]
    line = [words.text for words in sorted(lowest, key=lambda words: words.at[0])]
    numbers = [found for found in map(_FOOT.fullmatch, line) if found]
    codes = [text for text in line if _CODE.fullmatch(text)]
    if not numbers:
        return None
    return int(numbers[-1][1]), int(numbers[-1][2]), codes[-1] if codes else ""


def job_faults(feet: list[Foot]) -> Faults:
    """(page, what is wrong) in one print job: books cut short, mixed up or on a back side."""
    before: Foot = None
    for number, foot in enumerate([*feet, None], 1):
        if before and before[0] < before[1] and foot != (before[0] + 1, *before[1:]):
            missing = f"page {before[0] + 1} of the {before[1]} pages"
            yield number, f"{missing} with the key code {before[2]} should be here"
        elif foot and foot[0] == 1 and number % 2 == 0:
            yield number, f"the pages with the key code {foot[2]} do not begin on a front side"
        elif foot and foot[0] > 1 and (before is None or before[0] >= before[1]):
            yield number, f"page 1 of the pages with the key code {foot[2]} should be here"
        before = foot


def match_faults(workbooks: list[Foot], answer_keys: list[Foot]) -> Faults:
    """(page, what is wrong) where the answer keys' job does not match the workbooks' job."""
    if len(workbooks) != len(answer_keys):
        yield 0, f"it has {len(answer_keys)} pages; the workbooks' job has {len(workbooks)}"
    for number, (one, other) in enumerate(zip(workbooks, answer_keys), 1):
        if one != other:
            yield number, "the page does not match this page of the workbooks' job"
