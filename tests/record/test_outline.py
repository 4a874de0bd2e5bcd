"""The outline of a workbook says what its record says."""

import json

import pytest

from workbook.record.identity import item_identity
from workbook.record.outline import answered, from_kept, kept, outline
from workbook.record.reader import Unreadable, read_record


@pytest.fixture(scope="module")
def text(demo):
    return min(demo.glob("*/key.json")).read_text("utf-8")


def test_an_outline_says_what_the_record_says(text):
    whole, short = read_record(text), outline(text)
    for item, one in zip(whole.items, short.items, strict=True):
        assert (item.number, item.skill, item.key) == (one.number, one.skill, one.key)
        assert (item.points, item.ids) == (one.points, one.ids)
        assert tuple(blank.asks for blank in item.blanks) == one.asks
        assert max(blank.page for blank in item.blanks) == one.page
        assert item_identity(item) == one.identity
    assert short.points == whole.points
    assert [(one.letter, one.marking) for one in short.sections] == [
        (one.letter, one.marking) for one in whole.sections
    ]
    assert short.pages == max(blank.page for blank in whole.blanks)
    assert from_kept(kept(short)) == short


def test_the_answers_of_a_workbook_are_those_of_its_record(text):
    whole = read_record(text)
    assert [(one.number, one.skill, one.key) for one in answered(text)] == [
        (one.number, one.skill, one.key) for one in whole.items
    ]
    assert [(blank.id, blank.answer) for one in answered(text) for blank in one.blanks] == [
        (blank.id, blank.answer) for blank in whole.blanks
    ]


def test_an_outline_that_was_kept_in_another_shape_is_not_used(text):
    sections = json.loads(kept(outline(text)))
    for other in (None, b"", b"{}", b"[1]", json.dumps([2, *sections[1:]]).encode()):
        assert from_kept(other) is None


def test_a_record_that_cannot_be_read_is_told_as_ever(text):
    read = json.loads(text)
    del read["sections"][0]["items"][0]["skill"]
    for wrong in (json.dumps(read), "[1]", "{", '{"version": 99}'):
        with pytest.raises(Unreadable):
            outline(wrong)
