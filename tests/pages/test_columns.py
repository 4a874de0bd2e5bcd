"""Which exercises stand in a column, and the table of sections that leaves room for them."""

from itertools import pairwise

import pytest

from workbook import design
from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import STAFF_SPACE
from workbook.music.keys import parse_keys
from workbook.pages.columns import column_counts, frames, hand_of, most_columns
from workbook.pages.elements import Text
from workbook.pages.opening import opening
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

LETTER = Paper("letter")
SIGNATURES = """
[[section]]
family = "key-signatures"
clefs = "treble"
count = 6
points = 1
task = "name"
"""
PROGRESSIONS = """
[[section]]
family = "progression"
hands = "right"
numerals = "short"
count = 2
points = 1
"""
COUNTING = """
[[section]]
family = "counting"
count = 4
points = 1
values = "quarters"
metre = "simple"
"""


def planned(path, keys="C# major; A# minor"):
    template = read_template(path)
    return plan(Row("Ada", template, parse_keys(keys), template.title, None, 2), "")


def written(tmp_path, *sections):
    path = tmp_path / "t.toml"
    path.write_text('title = "Test"\n' + "".join(sections))
    return planned(path)


def counts(made):
    most = most_columns(made, LETTER)
    return [
        set(column_counts(section, LETTER, hand_of(made, LETTER), most).values())
        for section in made.sections
    ]


def test_a_short_task_of_its_own_is_no_reason_to_fill_the_measure():
    made = planned(available()["level-04"])
    (section,) = (one for one in made.sections if one.title == "Key signatures")
    tasks = {item.exercise.task for item in section.items}
    assert len(tasks) > 1
    assert set(column_counts(section, LETTER, hand_of(made, LETTER), 2).values()) == {2}


def test_columns_of_a_book_have_one_width(tmp_path):
    assert counts(written(tmp_path, SIGNATURES)) == [{3}]
    assert counts(written(tmp_path, PROGRESSIONS)) == [{2}]
    assert counts(written(tmp_path, SIGNATURES, PROGRESSIONS)) == [{2}, {2}]


def test_rhythms_in_any_time_share_their_width(tmp_path):
    made = written(tmp_path, COUNTING)
    times = {item.exercise.label for item in made.items}
    assert len(times) > 1
    assert len({frame.width for frame in frames(made, LETTER)}) == 1


@pytest.mark.parametrize("level, most", [("04", 315), ("07", 315), ("09", 315)])
def test_a_long_table_of_sections_leaves_the_first_page_to_exercises(level, most):
    """Fifteen sections and sixteen leave more than half of the page."""
    made = planned(available()[f"level-{level}"])
    (block,) = opening(made, LETTER)
    assert block.height <= most
    letters = [section.letter for section in made.sections]
    rows = [e for e in block.elements if isinstance(e, Text) and e.text in letters]
    assert [row.text for row in rows] == letters  # in reading order, the left half first
    lefts = [row.x for row in rows]
    assert lefts == sorted(lefts) and len(set(lefts)) == 2
    apart = {round(a.y - b.y, 3) for a, b in pairwise(rows) if a.x == b.x}
    assert len(apart) == 1
    assert min(apart) >= design.TABLE_LEADING[0] * design.TEXT - 0.001


def test_the_last_box_of_a_rhythm_keeps_clear_of_its_final_bar_line():
    """Even where columns are narrow: on one line, a bar line reaches as low as the boxes do."""
    paper = Paper("letter", "extra-large")
    made = planned(available()["level-02"], "C major; A minor")
    rhythms = [
        (item.exercise, frame)
        for item, frame in zip(made.drawn, frames(made, paper))
        if item.exercise.family == "counting"
    ]
    snippets = engrave([one for one, _ in rhythms], frames=[frame for _, frame in rhythms])
    for snippet in snippets:
        right = max(rect[2] for rect in snippet.slots.values())
        assert snippet.width - 1 - right >= 0.95 * STAFF_SPACE
