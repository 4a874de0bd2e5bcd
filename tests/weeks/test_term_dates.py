"""Dates written into ``studio.toml``: nothing else in the file changes."""

from __future__ import annotations

from datetime import date

import pytest

from tests.weeks.test_studio import begun, studio  # noqa: F401
from workbook.errors import InputError
from workbook.studio.folder import SETTINGS, read_studio
from workbook.weeks.term_dates import set_term, toggle_week

FIRST, EXAM = date(2027, 1, 12), date(2027, 6, 5)


def test_a_new_studio_gets_its_dates_where_its_comments_stood(studio):  # noqa: F811
    file = studio / SETTINGS
    before = file.read_text("utf-8").splitlines()
    set_term(read_studio(studio), FIRST, EXAM, [])
    after = file.read_text("utf-8").splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [b for _, b in changed] == [
        "first_lesson = 2027-01-12   # the day of the first lesson",
        "exam = 2027-06-05           # the day of the exam",
    ]
    term = read_studio(studio).term
    assert (term.first_lesson, term.exam) == (FIRST, EXAM)


def test_a_week_is_taken_out_and_put_back(studio):  # noqa: F811
    set_term(read_studio(studio), FIRST, EXAM, [])
    with (studio / SETTINGS).open("a", encoding="utf-8") as file:
        file.write("# mine\n")
    once = (studio / SETTINGS).read_text("utf-8")
    toggle_week(read_studio(studio), date(2027, 2, 16))
    assert date(2027, 2, 16) not in read_studio(studio).term.weeks()
    assert "# mine\n" in (studio / SETTINGS).read_text("utf-8")
    toggle_week(read_studio(studio), date(2027, 2, 18))  # any day of the week
    assert date(2027, 2, 16) in read_studio(studio).term.weeks()
    left = (studio / SETTINGS).read_text("utf-8")
    assert [line for line in once.splitlines() if "weeks_off" not in line] == [
        line for line in left.splitlines() if "weeks_off" not in line
    ]


def test_a_studio_without_a_table_for_the_term_gets_one(studio):  # noqa: F811
    file = studio / SETTINGS
    text = file.read_text("utf-8")
    file.write_text(text[: text.index("[term]")] + text[text.index("[build]") :], "utf-8")
    set_term(read_studio(studio), FIRST, EXAM, [date(2027, 2, 16)])
    assert read_studio(studio).term.weeks_off == (date(2027, 2, 16),)


def test_dates_that_do_not_go_together_change_nothing(studio):  # noqa: F811
    before = (studio / SETTINGS).read_bytes()
    with pytest.raises(InputError, match=r"exam is 2027-01-12"):
        set_term(read_studio(studio), EXAM, FIRST, [])
    assert (studio / SETTINGS).read_bytes() == before
