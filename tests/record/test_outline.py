"""The outline of a workbook says what its record says."""

import json

import pytest

from workbook.record.identity import item_identity
from workbook.record.outline import outline
from workbook.record.reader import Unreadable, read_record


@pytest.fixture(scope="module")
def text(demo):
    return min(demo.glob("*/key.json")).read_text("utf-8")


def told(items, identified=True):
    return [
        (
            item.number,
            item.skill,
            item.key,
            item.points,
            [(blank.id, blank.asks, blank.page) for blank in item.blanks],
            identified and (item.identity if hasattr(item, "identity") else item_identity(item)),
        )
        for item in items
    ]


def test_an_outline_says_what_the_record_says(text):
    whole, short = read_record(text), outline(text, identified=True)
    assert told(short.items) == told(whole.items)
    assert short.points == whole.points
    assert [(one.letter, one.marking) for one in short.sections] == [
        (one.letter, one.marking) for one in whole.sections
    ]
    assert short.pages == max(blank.page for blank in whole.blanks)
    assert told(outline(text).items, False) == told(whole.items, False)


def test_a_record_that_cannot_be_read_is_told_as_ever(text):
    read = json.loads(text)
    del read["sections"][0]["items"][0]["skill"]
    for wrong in (json.dumps(read), "[1]", "{", '{"version": 99}'):
        with pytest.raises(Unreadable):
            outline(wrong)
