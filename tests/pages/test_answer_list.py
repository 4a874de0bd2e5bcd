"""The list of answers and the mark sheet."""

import csv
import io
import re
from dataclasses import replace

import pytest

from workbook.design import PAPERS
from workbook.marking.mark_sheet import Marked, mark_sheet
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR
from workbook.pages.answer_list import answers, lay_out_answers
from workbook.pages.elements import Rule, Text
from workbook.pages.mark_sheet import lay_out_marks, size
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

TEMPLATES = {name: read_template(path) for name, path in available().items()}


def a_plan(name, **more):
    return plan(Row("Ada", TEMPLATES[name], TWELVE_MAJOR + TWELVE_MINOR, "", None, 2), "")


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("paper", PAPERS)
def test_all_answers_stand_on_one_page_in_order(name, paper):
    paper = Paper(paper)
    one = a_plan(name)
    (page,) = lay_out_answers(one, paper)
    numbers = [
        m.text
        for m in page.elements
        if isinstance(m, Text) and m.face == "bold" and m.text.isdigit()
    ]
    assert numbers == [str(item.number) for item in one.items]
    assert all(
        paper.bottom - 1 <= m.y <= paper.top
        for m in page.elements
        if isinstance(m, Text) and m.y > paper.foot + 1
    )
    assert min(m.size for m in page.elements if isinstance(m, Text)) >= 6
    # what is printed beside a number, joined again, is the item's answers
    texts = [m for m in page.elements if isinstance(m, Text) and m.y > paper.foot + 1]
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
    pages = lay_out_answers(one, Paper("letter"))
    assert len(pages) > 1
    numbers = [
        m.text
        for s in pages
        for m in s.elements
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
        width, _height = size(paper)
        pages = lay_out_marks(many, paper)
        texts = [m for s in pages for m in s.elements if isinstance(m, Text)]
        assert [t.text for t in texts if t.text.startswith("Student ")] == [
            f"Student {n}" for n in range(50)
        ]
        assert any("A Scales, B Chords" in t.text for t in texts)
        for page in pages:
            for element in page.elements:
                if isinstance(element, Rule):
                    assert 30 < element.x0 <= element.x1 < width - 30
