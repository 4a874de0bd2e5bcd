"""A student's page: what the record says, a new name, leaving and coming back."""

from __future__ import annotations

import pytest

from tests.desk.conftest import fits, pictured
from tests.weeks.test_studio import run
from workbook.weeks.studios import opened

PIPPA = "Pippa Marrowby"


@pytest.fixture
def marked(studio, code):
    run("mark", code, "--wrong", "1 3.1", "--studio", studio)
    return code


def test_the_page_says_what_is_weak_and_leads_to_the_sheets(window, marked, studio):
    page = window("phone", color_scheme="dark")
    page.get_by_role("link", name=PIPPA, exact=True).click()
    page.get_by_role("heading", name=PIPPA).wait_for()
    assert page.get_by_role("columnheader", name="G major").count() == 1
    assert page.get_by_role("heading", name="Weakest now").is_visible()
    fits(page, "phone")
    pictured(page, "student-phone")
    run("progress", "--studio", studio)
    table = (studio / "progress" / "progress.csv").read_text("utf-8-sig").splitlines()
    told = [row.split(",")[4] for row in table if row.startswith(PIPPA) and row.split(",")[4]]
    cells = page.locator("td[class^=likely]").all_inner_texts()
    assert sorted(cell.split()[0] for cell in cells) == sorted(told) and told
    page.get_by_role("link", name=f"Mark First Steps of {PIPPA}, {marked}").click()
    page.wait_for_url(f"**/mark/{marked}/1")


def test_a_student_gets_another_name_and_leaves(window, marked, studio):
    page = window()
    page.get_by_role("link", name=PIPPA, exact=True).click()
    page.get_by_label("New name").fill("Pippa <b>Moor</b>")
    page.get_by_role("button", name="Rename").click()
    page.get_by_role("heading", name="Pippa <b>Moor</b>", exact=True).wait_for()
    assert "Pippa <b>Moor</b>" in (studio / "roster.csv").read_text("utf-8")
    page.get_by_role("button", name="has left").click()
    page.get_by_text("left on").wait_for()
    with opened(studio) as one:
        assert [student.left_on != "" for student in one.record.students()] == [False, True]
    page.get_by_role("button", name="is back").click()
    page.get_by_role("button", name="has left").wait_for()


def test_the_progress_page_is_a_pdf(raw, marked, studio):
    with opened(studio) as one:
        number = next(student.id for student in one.record.students() if student.name == PIPPA)
    answer, text = raw.ask("GET", f"/student/{number}/progress.pdf")
    assert answer.status == 200 and text.startswith("%PDF")


@pytest.mark.parametrize("body", ["do=rename&name=", "do=rename&name=Otto+Quill", "do=gone", ""])
def test_a_bad_change_changes_nothing(raw, studio, body):
    before = (studio / "roster.csv").read_bytes()
    answer, text = raw.ask("POST", "/student/1", body)
    assert answer.status in {400, 409} and "Traceback" not in text
    assert (studio / "roster.csv").read_bytes() == before


def test_a_student_who_is_not_there(raw):
    assert raw.status("GET", "/student/99") == 404
    assert raw.status("GET", "/student/..%2f1") == 404


def test_with_a_faulty_roster_the_sheets_are_there(raw, studio, code):
    (studio / "roster.csv").write_text("student,template\nPippa Marrowby,nothing\n", "utf-8")
    _, text = raw.ask("GET", "/student/1")
    assert "roster.csv, row" in text and 'role="alert"' in text
