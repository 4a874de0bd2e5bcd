"""The list of answers and the mark sheet."""

import csv
import io
import re
from dataclasses import replace

import pytest

from workbook.marking.mark_sheet import Marked, mark_sheet
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.pages.answer_list import answers, lay_out_answers
from workbook.pages.elements import Rule, Text
from workbook.pages.flow import PAPERS, Page
from workbook.pages.mark_sheet import lay_out_marks, size
from workbook.planning.plan import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

TEMPLATES = {name: read_template(path) for name, path in available().items()}


def a_plan(name, **more):
    return plan(Row("Ada", TEMPLATES[name], TWELVE_MAJOR + TWELVE_MINOR, "", None, 2), "")


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("paper", PAPERS)
def test_all_answers_stand_on_one_page_in_order(name, paper):
    page = Page(paper)
    one = a_plan(name)
    (sheet,) = lay_out_answers(one, page)
    numbers = [
        m.text for m in sheet.marks if isinstance(m, Text) and m.face == "bold" and m.text.isdigit()
    ]
    assert numbers == [str(item.number) for item in one.items]
    assert all(
        page.bottom - 1 <= m.y <= page.top
        for m in sheet.marks
        if isinstance(m, Text) and m.y > page.foot + 1
    )
    assert min(m.size for m in sheet.marks if isinstance(m, Text)) >= 6
    # what is printed beside a number, joined again, is the item's answers
    texts = [m for m in sheet.marks if isinstance(m, Text) and m.y > page.foot + 1]
    said = " ".join(m.text for m in texts)
    for item in one.items:
        assert " ".join(answers(item.exercise).split()) in said


def test_the_line_of_an_item():
    found = {item.exercise.family: answers(item.exercise) for item in a_plan("all-skills").items}
    digits = set(re.sub(r"\(.*?\)", "", found["scale-fingering"])) - set("right left;")
    assert digits <= set("12345") and len(digits) > 2
    assert "(also " in " ".join(found.values())
    assert found["primary-chords"].startswith("chord ") and "; numeral " in found["primary-chords"]


def test_very_many_answers_take_a_second_page():
    template = TEMPLATES["all-skills"]
    longer = replace(template, sections=tuple(replace(s, count=60) for s in template.sections))
    one = plan(Row("Ada", longer, TWELVE_MAJOR, "", None, 2), "")
    sheets = lay_out_answers(one, Page("letter"))
    assert len(sheets) > 1
    numbers = [
        m.text
        for s in sheets
        for m in s.marks
        if isinstance(m, Text) and m.face == "bold" and m.text.isdigit()
    ]
    assert numbers == [str(n) for n in range(1, 361)]


BOOKS = [
    Marked("=Ada", "Spring", "AAA-222", (("A", "Scales", 20), ("B", "Chords", 10))),
    Marked("Bo", "Level 3", "BBB-333", (("A", "Scales", 12),)),
]


def test_the_mark_sheet_as_a_table():
    rows = list(csv.reader(io.StringIO(mark_sheet(BOOKS))))
    assert rows[0] == [
        "student",
        "workbook",
        "key code",
        "A",
        "A of",
        "B",
        "B of",
        "total",
        "total of",
    ]
    assert rows[1] == ["'=Ada", "Spring", "AAA-222", "", "20", "", "10", "", "30"]
    assert rows[2] == ["Bo", "Level 3", "BBB-333", "", "12", "", "", "", "12"]


def test_the_mark_sheet_on_paper():
    many = [replace(BOOKS[n % 2], student=f"Student {n}") for n in range(50)]
    for paper in PAPERS:
        width, height = size(paper)
        sheets = lay_out_marks(many, paper)
        texts = [m for s in sheets for m in s.marks if isinstance(m, Text)]
        assert [t.text for t in texts if t.text.startswith("Student ")] == [
            f"Student {n}" for n in range(50)
        ]
        assert any("A Scales, B Chords" in t.text for t in texts)
        for sheet in sheets:
            for mark in sheet.marks:
                if isinstance(mark, Rule):
                    assert 30 < mark.x0 <= mark.x1 < width - 30
