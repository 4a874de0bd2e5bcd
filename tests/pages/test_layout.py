"""Page design: nothing split, no lone heading, nothing below the foot, no picture over another."""

import pytest
from conftest import DEMO

from workbook.engraving.engrave import engrave
from workbook.pages.flow import BOTTOM, MARGIN, PAPERS
from workbook.pages.layout import lay_out
from workbook.pages.marks import Box, Entry, Picture, Rule, Text, lowered
from workbook.studio.plan import plan
from workbook.studio.roster import read_roster


@pytest.fixture(scope="module")
def books():
    plans = [plan(row, "") for row in read_roster(DEMO)]
    items = [item for one in plans for item in one.items]
    snippets = dict(zip(map(id, items), engrave([item.exercise for item in items])))
    return [(one, paper, lay_out(one, {i.number: snippets[id(i)] for i in one.items}, paper))
            for one in plans for paper in PAPERS]


def test_every_item_is_there_once_in_order(books):
    for one, _, sheets in books:
        pictures = [m for sheet in sheets for m in sheet.marks if isinstance(m, Picture)]
        assert len(pictures) == len(one.items)
        numbers = [m.text for sheet in sheets for m in sheet.marks
                   if isinstance(m, Text) and (m.face, m.size) == ("bold", 14) and m.text.isdigit()]
        assert numbers == [str(item.number) for item in one.items]


def test_a_heading_has_an_exercise_below_it_on_its_page(books):
    for _, _, sheets in books:
        for sheet in sheets:
            for index, mark in enumerate(sheet.marks):
                if isinstance(mark, Entry):
                    after = [m for m in sheet.marks[index:] if isinstance(m, Box)]
                    title = sheet is sheets[0] and index == 0
                    assert title or (after and after[0].rect[3] < mark.y)


def test_nothing_runs_into_the_foot_or_over_the_margin(books):
    for _, paper, sheets in books:
        width, height = PAPERS[paper]
        for sheet in sheets:
            for mark in sheet.marks:
                if isinstance(mark, Picture):
                    assert mark.y >= BOTTOM and mark.y + mark.snippet.height < height
                    assert mark.x + mark.snippet.width <= width - MARGIN


def test_pictures_keep_clear_of_one_another(books):
    for _, _, sheets in books:
        for sheet in sheets:
            areas = [(m.x, m.y, m.x + m.snippet.width, m.y + m.snippet.height)
                     for m in sheet.marks if isinstance(m, Picture)]
            for i, a in enumerate(areas):
                assert all(a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1]
                           for b in areas[i + 1:])


def test_two_short_exercises_stand_side_by_side_somewhere(books):
    found = [m for _, _, sheets in books for s in sheets for m in s.marks
             if isinstance(m, Picture) and m.x > 250]
    assert found


def test_lowered():
    assert lowered(Rule(0, 5, 9, 5), 2) == Rule(0, 3, 9, 3)
    assert lowered(Text(1, 5, "a"), 2) == Text(1, 3, "a")
