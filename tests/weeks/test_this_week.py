"""The points of a week's sheets are those of their summaries, by the rule that holds now."""

from __future__ import annotations

import pytest

from tests.weeks.test_studio import begun, run, sheets, studio  # noqa: F401
from workbook.weeks.marks import summary
from workbook.weeks.studios import opened
from workbook.weeks.this_week import this_week


def shown(folder):
    """Points and full points of Pippa's sheet, on the page and in the summary."""
    with opened(folder) as one:
        (line,) = this_week(one).students[0].sheets
        found = summary(one, line.sheet.code)
    return (line.points, line.full), (found.points, found.full)


@pytest.mark.parametrize("marks", [["--wrong", "1 3.1"], ["--later", "2"]])
def test_points_are_those_of_the_summary(studio, marks):  # noqa: F811
    run("mark", sheets(studio)["Pippa Marrowby"].code, *marks, "--studio", studio)
    told, summed = shown(studio)
    assert told == summed and (told[0] is None) == ("--later" in marks)


def test_another_rule_gives_other_points(studio):  # noqa: F811
    run("mark", sheets(studio)["Pippa Marrowby"].code, "--wrong", "3.1", "--studio", studio)
    (before, _), _ = shown(studio)
    file = studio / "studio.toml"
    text = file.read_text("utf-8").replace("# rule = ", 'rule = "all or nothing"  # ')
    file.write_text(text, "utf-8")
    told, summed = shown(studio)
    assert told == summed and told[0] < before
