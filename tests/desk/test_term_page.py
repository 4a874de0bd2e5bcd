"""The term in a real browser: dates, lesson weeks by touch, charts."""

from __future__ import annotations

from datetime import timedelta

from tests.desk.conftest import fits, pictured
from tests.weeks.test_studio import run
from workbook.inputs.days import today
from workbook.studio.folder import read_studio


def test_dates_and_weeks_are_set_by_touch(window, studio):
    page = window("phone", has_touch=True)
    page.get_by_role("link", name="The term").tap()
    first = today() - timedelta(days=14)
    page.get_by_label("First lesson").fill(first.isoformat())
    page.get_by_label("Exam").fill((first + timedelta(days=80)).isoformat())
    page.get_by_role("button", name="Set the dates").tap()
    page.get_by_role("heading", name="Lesson weeks: 12").wait_for()
    page.locator(".weeks button").nth(4).tap()
    page.get_by_role("heading", name="Lesson weeks: 11").wait_for()
    assert read_studio(studio).term.weeks_off == (first + timedelta(days=28),)
    assert page.locator(".weeks button").nth(4).get_attribute("aria-pressed") == "false"
    fits(page, "phone")
    pictured(page, "term-phone")
    said = run("term", "--studio", studio)
    told = page.locator("section p:not(.quiet)").all_inner_texts()
    assert told and all(line in said for line in told)
    page.locator(".weeks button").nth(4).tap()
    page.get_by_role("heading", name="Lesson weeks: 12").wait_for()


def test_dates_that_do_not_go_together_are_told(raw, studio):
    before = (studio / "studio.toml").read_bytes()
    for body in ("first_lesson=2027-06-05&exam=2027-01-12", "first_lesson=soon", "week=1"):
        answer, text = raw.ask("POST", "/term", body)
        assert answer.status in {400, 409} and "Traceback" not in text
    assert (studio / "studio.toml").read_bytes() == before


def test_the_charts_are_a_pdf(raw, studio):
    assert raw.status("GET", "/term.pdf") == 409  # no dates yet
    raw.ask("POST", "/term", "first_lesson=2027-01-12&exam=2027-06-05")
    answer, text = raw.ask("GET", "/term.pdf")
    assert answer.status == 200 and text.startswith("%PDF")
