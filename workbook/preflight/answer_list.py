"""The list of answers, ``answers.pdf``: whether it says what ``key.json`` says.

In: a record, and the pages of the list read by ``content``. Out: findings.
"""

from __future__ import annotations

import re

from workbook.marking import accepted, spellings
from workbook.pages.section import SPELLINGS
from workbook.pdf.content import PageContent
from workbook.preflight.expected import Expected, ExpectedItem
from workbook.preflight.positions import Faults, foot_faults
from workbook.preflight.record_faults import listed

_TITLE_LINES = 2
_HEADING = re.compile(r"\(\d+(, \d+ each)?\)\Z")
"""How the heading of a section ends: its points."""
_FOOT = re.compile(r"page \d+ of \d+\Z")
_BETWEEN = re.compile(r"[\s,;-]")
"""What stands between answers, or where a line ends."""


def list_faults(record: Expected, pages: list[PageContent]) -> Faults:
    """(page, what is wrong) in the list of answers; each item is told on page 0."""
    for number, page in enumerate(pages, 1):
        yield from foot_faults(record, number, len(pages), page)
    found, heads = _entries(pages)
    wanted = {str(item.number): _said(item) for item in record.items}
    if list(found) != list(wanted):
        yield 0, f"the items listed are {listed(found)}; key.json has {listed(wanted)}"
    for item in wanted.keys() & found.keys():
        if _BETWEEN.sub("", found[item]) != _BETWEEN.sub("", wanted[item]):
            what = f'the answers to item {item} are "{found[item]}"; key.json has "{wanted[item]}"'
            yield 0, what
    starts = list(zip(heads, [*list(heads)[1:], len(record.items) + 1]))
    spelled = spellings.spellings(
        spellings.others_spelled(
            blank for item in record.items[first - 1 : after - 1] for blank in item.blanks
        )
        for first, after in starts
    )
    for (first, after), words in zip(starts, spelled):
        also = f"{SPELLINGS} {words}" if words else ""
        if "".join(heads[first].split()) != "".join(also.split()):
            yield (
                0,
                (
                    f"the other spellings for items {first} to {after - 1} are "
                    f'"{heads[first]}"; key.json has "{also}"'
                ),
            )


def _entries(pages: list[PageContent]) -> tuple[dict[str, str], dict[int, str]]:
    """The words to the right of each number and on the lines below, up to a heading; and by
    the first number under each heading, the words between the two.
    """
    entries: dict[str, str] = {}
    heads: dict[int, str] = {}
    last, head = "", None
    for page in pages:
        listed_words = page.words[_TITLE_LINES:]
        for words, after in zip(listed_words, [*listed_words[1:], None]):
            if _FOOT.match(words.text):
                break
            if words.text.isdigit() and after and after.at[1] == words.at[1]:
                last = words.text
                entries[last] = ""
                if head is not None:
                    heads[int(last)], head = head.strip(), None
            elif _HEADING.search(words.text):
                last, head = "", ""
            elif last:
                entries[last] += f" {words.text}"
            elif head is not None:
                head += f" {words.text}"
    return {number: words.strip() for number, words in entries.items()}, heads


def _said(item: ExpectedItem) -> str:
    """The answers of an item as the list has them: row by row, named where there are several,
    with what else is accepted in each.
    """
    rows = accepted.rows(item.blanks)
    kinds, hands = ({row[place] for row in rows} for place in (0, 1))
    return "; ".join(
        " ".join(
            [asks] * (len(kinds) > 1)
            + [hand] * (len(hands) > 1)
            + [blank.answer for blank in row]
            + [f"({also})" for also in [accepted.others(row)] if also]
        )
        for (asks, hand), row in rows.items()
    )
