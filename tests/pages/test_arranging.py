"""A shorter exercise comes first where a long one would leave the first page half empty, or would
be torn below the heading of its section.
"""

from dataclasses import replace
from pathlib import PurePath

import pytest

from tests.page_design import filled, paginated
from workbook import design
from workbook.builds.orders import Fingerings, Order
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.expected import expected_height
from workbook.engraving.snippet import STAFF_SPACE
from workbook.exercises.question import question
from workbook.fingering.conventions import traditional
from workbook.music.keys import parse_keys
from workbook.pages.arranging import arranged
from workbook.pages.columns import frames
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.planning.exercise_pool import ExercisePool
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

SECTION = """
[[section]]
family = "{}"
hands = ["right", "left", "both"]
{}
count = {}
points = 1
"""
SCALES = ("scale-fingering", 'octaves = [2, 3]\nforms = ["major", "harmonic"]', 6)
LONG = ("scale-fingering", 'octaves = [3, 4]\nforms = ["major", "harmonic"]', 6)
SIX = "C major; G major; D major; A minor; E minor; D minor"


def template(tmp_path, *sections):
    path = tmp_path / "scales.toml"
    path.write_text('title = "Scales"\n' + "".join(SECTION.format(*s) for s in sections), "utf-8")
    return read_template(path)


def row(made, keys=SIX):
    return Row("Ada Lovelace", made, parse_keys(keys), made.title, None, 2)


def torn(made, paper):
    """How often a page ends within an exercise."""
    return sum(page[0].within for page in paginated(made, paper)[1:])


def test_a_shorter_exercise_comes_first_where_the_first_page_would_be_half_empty(tmp_path):
    paper = Paper("letter")
    before = plan(row(template(tmp_path, SCALES, LONG)), "a")
    after = arranged(before, paper)
    assert filled(paginated(before, paper)[0], paper) < design.FIRST_PAGE
    assert filled(paginated(after, paper)[0], paper) >= design.FIRST_PAGE
    assert torn(before, paper) == torn(after, paper) == 0
    # the same exercises in the same sections, numbered as they stand, and another sheet
    assert [item.number for item in after.items] == list(range(1, len(before.items) + 1))
    for one, other in zip(before.sections, after.sections):
        assert sorted(question(i.exercise) for i in one.items) == sorted(
            question(i.exercise) for i in other.items
        )
    assert after.sections[0].items != before.sections[0].items
    assert after.code != before.code


def test_a_shorter_exercise_comes_first_where_a_heading_leaves_too_little_room(tmp_path):
    paper = Paper("letter", "large")
    before = plan(row(template(tmp_path, SCALES, LONG)), "a")
    assert torn(before, paper) > torn(arranged(before, paper), paper) == 0


@pytest.mark.parametrize("paper", ["letter", "a5"])
def test_nothing_moves_where_the_first_page_is_filled(paper):
    for name in ("level-02", "level-05"):
        level = read_template(available()[name])
        made = plan(replace(row(level), keys=level.keys), "")
        assert arranged(made, Paper(paper)) is made


def test_an_order_has_the_plan_as_it_is_printed(tmp_path):
    """What is made again from the record, or looked up by number, is in the same order."""
    paper, mine = Paper("letter"), row(template(tmp_path, SCALES, LONG))
    order = Order(mine, PurePath("Ada"), paper)
    (made,) = order.plans("a", Fingerings(traditional()), 1, ExercisePool())
    assert made == arranged(plan(mine, "a"), paper) != plan(mine, "a")


def test_heights_are_about_as_expected(tmp_path):
    paper = Paper("letter")
    made = plan(row(template(tmp_path, SCALES, LONG)), "a")
    places = frames(made, paper)
    snippets = engrave([item.exercise for item in made.drawn], frames=places, cache=Cache(folder()))
    for item, frame, snippet in zip(made.drawn, places, snippets):
        assert expected_height(item.exercise, frame) == pytest.approx(
            snippet.height / STAFF_SPACE, rel=0.12
        )
