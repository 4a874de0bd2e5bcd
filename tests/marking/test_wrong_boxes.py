"""The short notation of a marked sheet."""

from __future__ import annotations

import pytest

from workbook import read_record
from workbook.marking.outcome import Outcome
from workbook.marking.wrong_boxes import NotUnderstood, all_but, read_boxes, read_wrong

WRONG, EMPTY, RIGHT = Outcome.WRONG, Outcome.EMPTY, Outcome.RIGHT


@pytest.fixture(scope="module")
def workbook(demo):
    texts = [path.read_text("utf-8") for path in demo.rglob("key.json")]
    return max((read_record(text) for text in texts), key=lambda record: len(record.blanks))


@pytest.fixture(scope="module")
def item(workbook):
    """An exercise for both hands."""
    return next(
        item
        for item in workbook.items
        if item.hand == "both" and {b.hand for b in item.blanks} == {"right", "left"}
    )


def test_whole_exercises_boxes_and_ranges(workbook, item):
    number, boxes = item.number, [blank.id for blank in item.blanks]
    assert read_wrong(f"{number}", workbook).outcomes == dict.fromkeys(boxes, WRONG)
    assert read_wrong(f"{number}.3", workbook).outcomes == {boxes[2]: WRONG}
    assert read_wrong(f" {number}.2-4 ", workbook).outcomes == dict.fromkeys(boxes[1:4], WRONG)
    assert read_wrong(f"{number}.1,3–4", workbook).outcomes == dict.fromkeys(
        [boxes[0], *boxes[2:4]], WRONG
    )
    assert read_wrong("", workbook).outcomes == {}


def test_empty_right_and_asked(workbook, item):
    number, boxes = item.number, [blank.id for blank in item.blanks]
    assert read_wrong(f"{number}-", workbook).outcomes == dict.fromkeys(boxes, EMPTY)
    assert read_wrong(f"{number}.1-2-", workbook).outcomes == dict.fromkeys(boxes[:2], EMPTY)
    assert read_wrong(f"+{number}.1", workbook).outcomes == {boxes[0]: RIGHT}
    asked = read_wrong(f"{number}* {number}*", workbook)
    assert (asked.outcomes, asked.asked) == ({}, (number,))


def test_the_boxes_of_one_hand(workbook, item):
    left = [blank.id for blank in item.blanks if blank.hand == "left"]
    assert read_wrong(f"{item.number}.L2", workbook).outcomes == {left[1]: WRONG}
    assert read_boxes("l1-2", item) == left[:2]
    with pytest.raises(NotUnderstood, match="of the left hand"):
        read_boxes(f"l{len(left) + 1}", item)


@pytest.mark.parametrize(
    "typed, said",
    [
        ("999", "there is no exercise 999"),
        ("{n}.999", "boxes"),
        ("{n}.0", "boxes"),
        ("{n}.4-2", "boxes"),
        ("five", "not understood"),
        ("{n}.", "not understood"),
        ("{n}.1*", "not both"),
        ("{n}.1 {n}.1-", "two outcomes"),
        ("{n}--", "not understood"),
        ("+{n}-", "both right and empty"),
    ],
)
def test_what_is_not_understood_is_told(workbook, item, typed, said):
    with pytest.raises(NotUnderstood, match=said):
        read_wrong(typed.format(n=item.number), workbook)


def test_every_fault_of_a_line_is_told_at_once(workbook):
    with pytest.raises(NotUnderstood) as error:
        read_wrong("998 x 999", workbook)
    assert str(error.value).count("\n") == 2


def test_all_other_boxes_are_right(workbook, item):
    named = {item.blanks[0].id: WRONG}
    last = max(blank.page for blank in workbook.blanks)
    found = all_but(workbook, named, [last])
    assert found.keys() == {blank.id for blank in workbook.blanks}
    for blank in workbook.blanks:
        if blank.id in named:
            assert found[blank.id] == WRONG
        else:
            missing = blank.page == last
            assert found[blank.id] == (Outcome.NOT_MARKED if missing else RIGHT)
