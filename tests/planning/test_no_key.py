"""Families in no key: one cell for each skill, whatever the number of keys."""

from workbook.estimates.results import Cell
from workbook.music.keys import ALL_KEYS
from workbook.planning.cells import cells
from workbook.planning.dealing import plan
from workbook.record.from_exercise import unplaced
from workbook.studio.roster import Row
from workbook.studio.templates import read_template

TEMPLATE = """
title = "Rhythm"

[[section]]
family = "five-finger"
hands = "right"
count = 2
points = 1

[[section]]
family = "counting"
values = ["quarters", "eighths"]
count = 4
points = 1
"""


def test_what_is_in_no_key_has_one_cell_a_skill(tmp_path):
    path = tmp_path / "rhythm.toml"
    path.write_text(TEMPLATE, "utf-8")
    template = read_template(path)
    found = cells(template, ALL_KEYS)
    assert [cell for cell in found if cell.skill.startswith("counting")] == [
        Cell("counting", ""),
        Cell("counting/eighths values", ""),
    ]
    assert all(found.values()) and len(found) > len(ALL_KEYS)
    keys = {
        unplaced(item.exercise).key
        for item in plan(Row("Pippa", template, ALL_KEYS, "", None, 2), "1").items
        if item.exercise.family == "counting"
    }
    assert keys == {""}
