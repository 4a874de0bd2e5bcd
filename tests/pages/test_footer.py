"""The footer of a page: what is cut when student and title are too long for it."""

from dataclasses import replace

import pytest

from workbook import design
from workbook.music.keys import parse_key
from workbook.pages.footer import footer
from workbook.pages.paper import Paper
from workbook.planning.study import study
from workbook.studio.templates import find, read_template
from workbook.typesetting import text

PLAN = study(read_template(find("level-05")), parse_key("E major"), 50)
LONG = "Wolfeschlegelsteinhausenbergerdorff-Featherstonehaugh de la Fontaine"


def printed(student, title):
    """The name, the number of the page and the key code of a footer."""
    row = replace(PLAN.row, student=student, title=title)
    texts = [
        one
        for one in footer(Paper("letter"), replace(PLAN, row=row), "page 1 of 9", "")
        if getattr(one, "text", "")
    ]
    number, code, name = texts[0], texts[1], texts[-1]
    assert name.x + text.width(name.text, "regular", design.QUIET) < number.x - 20
    assert code.text == PLAN.code
    return name.text


def test_what_fits_is_whole():
    title = PLAN.title
    assert title == "Level 5 – fill in what is missing"
    assert printed("", title) == f"E major  ·  {title}"


@pytest.mark.parametrize(
    ("student", "title", "found"),
    [
        (LONG, "Week 2", ("Wolfeschlegelsteinhausen", "…  ·  Week 2")),
        ("Ada Lee", f"Week 2: {LONG}", ("Ada Lee  ·  Week 2: Wolfeschlegel", "…")),
        (LONG, f"Week 2: {LONG}", ("Wolfesc", "…")),
    ],
)
def test_the_name_is_cut_and_then_the_title_but_never_the_code(student, title, found):
    begin, end = found
    name = printed(student, title)
    assert name.startswith(begin) and name.endswith(end) and "  ·  Week 2" in name
