"""Checks that the list of answers, ``answers.pdf``, agrees with ``key.json``.

In: a record, and the pages of the list as read by ``pdf.content``. Out: findings.
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
"""The end of a section's heading: its points."""
_FOOT = re.compile(r"page \d+ of \d+\Z")
_NUMBER = re.compile(r"[0-9]{1,9}")
_BETWEEN = re.compile(r"[\s,;-]")
"""Separators between answers. A line break may replace any of them."""


def list_faults(record: Expected, pages: list[PageContent]) -> Faults:
    """(page, what is wrong) in the list of answers; faults of items have page 0."""
    for number, page in enumerate(pages, 1):
        yield from foot_faults(record, number, len(pages), page)
    found, heads = _entries(pages)
    wanted = {str(item.number): _item_text(item) for item in record.items}
    if list(found) != list(wanted):
        yield 0, f"the list has items {listed(found)}; key.json has {listed(wanted)}"
    for item in wanted.keys() & found.keys():
        if _BETWEEN.sub("", found[item]) != _BETWEEN.sub("", wanted[item]):
            fault = f'the answers to item {item} are "{found[item]}"; key.json has "{wanted[item]}"'
            yield 0, fault
    ranges = list(zip(heads, [*list(heads)[1:], len(record.items) + 1]))
    spelled = spellings.spellings(
        spellings.others_spelled(
            blank for item in record.items[first - 1 : after - 1] for blank in item.blanks
        )
        for first, after in ranges
    )
    for (first, after), line in zip(ranges, spelled):
        spelling = f"{SPELLINGS} {line}" if line else ""
        if "".join(heads[first].split()) != "".join(spelling.split()):
            fault = f"the other spellings for items {first} to {after - 1} are"
            yield 0, f'{fault} "{heads[first]}"; key.json has "{spelling}"'


def _entries(pages: list[PageContent]) -> tuple[dict[str, str], dict[int, str]]:
    """What the list says of each item and below each heading.

    The first dict has the text of each item by its number. The second has the text between
    a heading and its first item, by that item's number.
    """
    entries: dict[str, str] = {}
    heads: dict[int, str] = {}
    last, head = "", None
    for page in pages:
        listed_words = page.words[_TITLE_LINES:]
        for words, after in zip(listed_words, [*listed_words[1:], None]):
            if _FOOT.match(words.text):
                break
            if _NUMBER.fullmatch(words.text) and after and after.at[1] == words.at[1]:
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


def _item_text(item: ExpectedItem) -> str:
    """The text that the list must have for an item.

    It has the answers row by row, each with its accepted alternatives, and names the rows if
    there are several.
    """
    rows = accepted.box_rows(item.blanks)
    tasks, hands = ({row[part] for row in rows} for part in (0, 1))
    return "; ".join(
        " ".join(
            [asks] * (len(tasks) > 1)
            + [hand] * (len(hands) > 1)
            + [blank.answer for blank in row]
            + [f"({other})" for other in [accepted.others(row)] if other]
        )
        for (asks, hand), row in rows.items()
    )
