"""The studio's page: students and skills, who owes what."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.desk.conftest import pictured
from tests.weeks.test_studio import run


def test_the_studio_is_seen_at_a_glance(window, raw, studio, code):
    run("mark", code, "--wrong", "1 3.1", "--studio", studio)
    page = window("desktop")
    page.get_by_role("link", name="The studio").click()
    expect(page.get_by_role("rowheader")).to_have_count(2)
    expect(page.locator("td[class^=likely]")).not_to_have_count(0)
    owing = page.locator("li", has_text="Otto Quill")
    assert "is to be marked" in owing.inner_text() and code not in owing.inner_text()
    pictured(page, "studio-desktop")
    owing.get_by_role("link").click()
    page.get_by_role("heading", name="Otto Quill").wait_for()


def test_the_progress_of_the_studio_is_the_one_of_the_command(raw, studio):
    answer, text = raw.ask("GET", "/studio/progress.pdf")
    assert answer.status == 200 and text.startswith("%PDF")
    assert (studio / "progress" / "studio.pdf").is_file()


def test_a_faulty_roster_is_told(raw, studio):
    (studio / "roster.csv").write_text("student,template\nPippa Marrowby,nothing\n", "utf-8")
    _, text = raw.ask("GET", "/studio")
    assert "roster.csv, row" in text and 'role="alert"' in text


def test_the_circle_of_fifths_tells_its_numbers_in_words(raw, studio, code):
    run("mark", code, "--wrong", "1 3.1", "--studio", studio)
    _, text = raw.ask("GET", "/student/2")
    _, other = raw.ask("GET", "/student/1")
    told = text if "Circle of fifths, First Steps: " in text and "Pippa" in text else other
    label = told.split("Circle of fifths, First Steps: ")[1].split('"')[0]
    names = dict(part.rsplit(" ", 1) for part in label.split(", "))
    assert set(names) == {"C", "G"} and all(share.isdecimal() for share in names.values())
    assert f">{names['G']}<" in told
