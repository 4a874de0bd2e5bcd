"""The labels of rows of boxes that stand beside one another say which boxes are whose."""

from random import Random

import pytest
from asked import Request

from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key
from workbook.pages.elements import Box, Text
from workbook.pages.item import music
from workbook.planning.plan import Item

SCALE = 1.0


def second_line(width, lead):
    """The labels and the boxes of the second phrase, where lines are so wide in staff spaces."""
    family = FAMILIES["periods"]
    settings = {"values": "quarters", "kinds": "PAC IAC HC"}
    made = family.make(
        Request(parse_key("C major"), "right", family.asks, 0, 2, settings), Random(3)
    )
    (snippet,) = engrave([made], frames=[Frame(width, lead, "grown")])
    elements = music(Item(1, made, 5), snippet, 0.0, 0.0, SCALE, "grown", snippet.lines[-1])
    labels = {e.text: e for e in elements if isinstance(e, Text)}
    boxes = {e.blank.asks: e.rect for e in elements if isinstance(e, Box)}
    assert boxes["cadence"][1] == pytest.approx(boxes["match"][1])  # beside one another
    return labels, boxes


def test_one_label_at_the_left_names_both_rows_if_it_has_room():
    labels, _ = second_line(105.0, 13.0)
    assert labels.keys() == {"phrase", "match, cadence", "period"}


def test_else_each_row_has_its_label_before_its_boxes():
    labels, boxes = second_line(105.0, 8.7)
    assert labels.keys() == {"phrase", "match", "cadence", "period"}
    cadence, match = boxes["cadence"], boxes["match"]  # of "match", the last box
    assert match[2] < labels["cadence"].x < cadence[0] and labels["match"].x == 0
    assert labels["cadence"].y == labels["match"].y


def test_where_boxes_are_close_the_label_at_the_left_has_two_lines():
    labels, boxes = second_line(70.0, 8.7)
    assert labels.keys() == {"phrase", "match,", "cadence", "period"}
    match, cadence = labels["match,"], labels["cadence"]
    assert match.x == cadence.x == 0 and match.y > boxes["match"][1] > cadence.y - match.size
