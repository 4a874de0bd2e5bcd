"""The whole week in a browser as a teacher would do it, and what a command makes of it."""

from __future__ import annotations

import time
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from tests.desk.conftest import fits, pictured
from tests.weeks.test_studio import outcomes, run
from workbook.inputs.days import today
from workbook.weeks.studios import opened

SLOW = [pytest.param(size, marks=pytest.mark.sweep) for size in ("tablet", "desktop")]
WREN = "Wren Attley"


@pytest.fixture
def studio(tmp_path):
    """A folder that is no studio yet."""
    return tmp_path / "mine"


def build(page, name, day=""):
    page.get_by_role("link", name="This week").first.click()
    if day:
        page.get_by_label("Lesson").fill(day)
    page.get_by_role("button", name=name).click()
    page.get_by_role("heading", name="The sheets are ready").wait_for(timeout=240_000)
    page.get_by_role("link", name="Back to this week").click()


def begin(page):
    page.get_by_label("Student 1", exact=True).fill(WREN)
    page.get_by_label("Level of student 1").select_option("level-05")
    page.get_by_label("Student 2", exact=True).fill("Ilse Tamsin")
    page.get_by_label("Level of student 2").select_option("level-01")
    page.get_by_label("First lesson").fill(today().isoformat())
    page.get_by_label("Exam").fill((today() + timedelta(weeks=12)).isoformat())
    page.get_by_role("button", name="Make the studio").click()


def mark_ten(page, raw, code, studio):
    """Ten wrong boxes, five by touch and five by keyboard; returns their places."""
    with opened(studio) as one:
        workbook = one.record.workbook(code)
    places = [(i.number, at, b) for i in workbook.items for at, b in enumerate(i.blanks, 1)]
    chosen = places[:: len(places) // 10][:10]
    for count, (number, at, blank) in enumerate(chosen):
        here = f"{raw.door.origin}/mark/{code}/{blank.page}"
        if page.url.split("?")[0] != here:
            page.goto(here)
        box = page.locator(f".box[data-place='{number}.{at}']")
        if count % 2:
            box.focus()
            page.keyboard.press("Space")
        else:
            box.click()
        page.locator(f".box[data-place='{number}.{at}'][data-state=wrong]").wait_for()
        page.get_by_text("saved", exact=True).wait_for()
    return [f"{number}.{at}" for number, at, _ in chosen]


@pytest.mark.parametrize("size", ["phone", *SLOW])
def test_a_week_from_the_first_visit_to_the_next_sheets(window, raw, studio, size):
    page = window(size)
    begin(page)
    build(page, "Build for everyone")
    fits(page, size)
    with opened(studio) as one:
        code = one.record.sheets(WREN)[0].code
    page.get_by_role("link", name=f"of {WREN}, {code}").click()
    page.wait_for_url(f"**/mark/{code}/1")
    start = time.perf_counter()
    places = mark_ten(page, raw, code, studio)
    assert time.perf_counter() - start < 60
    fits(page, size)
    pictured(page, f"week-marked-{size}")
    touched, total = outcomes(studio, code), page.locator("#total").inner_text()
    assert sorted(touched.values()).count("wrong") == 10
    said = run("mark", code, "--wrong", " ".join(places), "--studio", studio)
    assert outcomes(studio, code) == touched and f"total {total}" in said

    page.get_by_role("link", name="The studio").click()
    owing = page.locator("li", has_text="Ilse Tamsin").get_by_text("is to be marked")
    expect(owing).to_have_count(1)
    fits(page, size)
    page.get_by_role("link", name=WREN).click()
    page.get_by_role("heading", name="Weakest now").wait_for()
    fits(page, size)
    page.get_by_role("link", name="The term").click()
    page.get_by_role("heading", name="Lesson weeks: 12").wait_for()
    assert page.locator("td.met, td.planned").count() > 0
    fits(page, size)

    after = (today() + timedelta(weeks=1)).isoformat()
    build(page, f"Build for {WREN}", after)
    with opened(studio) as one:
        new = [sheet.code for sheet in one.record.sheets(WREN) if sheet.week == after]
        assert len(new) == 1 and one.record.reasons(new[0])
    answer, text = raw.ask("GET", f"/week/{after}/workbook.pdf")
    assert answer.status == 200 and text.startswith("%PDF")
    assert page.get_by_role("link", name="Workbook " + new[0]).get_attribute("href")
