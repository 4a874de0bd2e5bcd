"""The week in a real browser: a studio made, sheets built, cancelled, looked at, and set again."""

from __future__ import annotations

import multiprocessing
import os
import time

import pytest

from tests.desk.conftest import fits, pictured
from tests.desk.raw import Raw
from tests.weeks.test_studio import sheets
from workbook.studio.folder import is_studio, read_studio
from workbook.weeks.studios import opened


def finished(page):
    page.get_by_role("heading", name="The sheets are ready").wait_for(timeout=120_000)


def test_the_week_has_the_roster_in_its_order(window, studio):
    page = window("phone")
    heads = page.get_by_role("heading", level=2).all_inner_texts()
    assert heads == ["Pippa Marrowby", "Otto Quill"]
    fits(page, "phone")
    pictured(page, "week-phone")
    for sheet in sheets(studio).values():
        assert page.get_by_text(sheet.code).count() == 1


@pytest.mark.parametrize("kind", ["workbook", "answer-key", "answers"])
def test_a_file_is_the_one_in_the_folder(raw, studio, code, kind):
    answer, _ = raw.ask("GET", f"/sheet/{code}/{kind}.pdf")
    file = studio / sheets(studio)["Pippa Marrowby"].folder / f"{kind}.pdf"
    assert answer.status == 200 and answer.getheader("content-type") == "application/pdf"
    assert int(answer.getheader("content-length")) == file.stat().st_size


def test_all_sheets_of_a_week_are_one_print_job(raw, studio, code):
    answer, text = raw.ask("GET", "/week/2027-01-12/workbook.pdf")
    assert answer.status == 200 and text.startswith("%PDF")
    for path in ("/week/2027-01-13/workbook.pdf", "/week/2027-01-12/key.pdf", "/week/../x.pdf"):
        assert raw.status("GET", path) == 404


def test_a_file_that_is_gone_is_told(raw, studio, code):
    (studio / sheets(studio)["Pippa Marrowby"].folder / "workbook.pdf").unlink()
    for path in (f"/sheet/{code}/workbook.pdf", f"/mark/{code}/1"):
        answer, text = raw.ask("GET", path)
        assert answer.status == 404 and f"workbook record remake {code}" in text


def test_a_link_that_leads_out_is_not_followed(raw, studio, code, tmp_path):
    secret = tmp_path / "secret.pdf"
    secret.write_bytes(b"%PDF secret")
    file = studio / sheets(studio)["Pippa Marrowby"].folder / "workbook.pdf"
    file.unlink()
    file.symlink_to(secret)
    answer, text = raw.ask("GET", f"/sheet/{code}/workbook.pdf")
    assert answer.status == 404 and "secret" not in text


def test_next_week_is_set_for_one_student(window, raw, studio, code):
    page = window()
    page.get_by_label("Lesson").fill("2027-01-19")
    page.get_by_role("button", name="Build for Pippa Marrowby").click()
    finished(page)
    pictured(page, "built")
    page.get_by_role("link", name="Back to this week").click()
    with opened(studio) as one:
        new = [sheet for sheet in one.record.sheets() if sheet.week == "2027-01-19"]
        assert [sheet.student for sheet in new] == ["Pippa Marrowby"]
        assert one.record.reasons(new[0].code)
    assert page.get_by_text(new[0].code).is_visible() and page.get_by_text(code).is_visible()
    pictured(page, "week-tablet")


def test_whole_templates_are_built_for_all(window, studio):
    page = window("desktop")
    page.get_by_label("Lesson").fill("2027-02-02")
    page.get_by_label("Set", exact=True).select_option("whole")
    page.get_by_role("button", name="Build for everyone").click()
    finished(page)
    with opened(studio) as one:
        new = [sheet.student for sheet in one.record.sheets() if sheet.week == "2027-02-02"]
    assert sorted(new) == ["Otto Quill", "Pippa Marrowby"]
    assert (studio / "2027-02-02" / "all-workbooks.pdf").is_file()


def test_a_build_is_watched_and_cancelled(window, raw, studio, code, stuck):
    page = window()
    page.get_by_role("button", name="Build for everyone").click()
    page.get_by_text("Planning").wait_for(timeout=60_000)
    page.wait_for_function("document.getElementById('bar').max > 1")
    busy, text = raw.ask("POST", "/build", "week=2027-01-19")
    assert busy.status == 409 and "A build is running" in text
    (building,) = multiprocessing.active_children()
    assert os.getpriority(os.PRIO_PROCESS, building.pid) > os.getpriority(os.PRIO_PROCESS, 0)
    start = time.perf_counter()
    assert raw.status("POST", f"/mark/{code}/1", "touch=1 wrong") == 303
    assert time.perf_counter() - start < 1
    page.get_by_role("button", name="Cancel").click()
    page.get_by_text("The build was cancelled; nothing was written.").wait_for()
    assert not multiprocessing.active_children()


def test_a_build_that_is_killed_is_told(raw, studio, stuck):
    raw.ask("POST", "/build", "week=2027-01-19")
    while not multiprocessing.active_children():
        time.sleep(0.01)
    (building,) = multiprocessing.active_children()
    building.kill()
    assert raw.desk.builds.job.future.result(60).lines == (
        "The build process was terminated; build again.",
    )
    assert len(sheets(studio)) == 2 and not (studio / "2027-01-19").exists()


def test_a_bad_roster_is_told_as_in_the_terminal(window, studio):
    (studio / "roster.csv").write_text(
        "student,template,keys\n"
        "Pippa Marrowby,first-stepz,C major\n"
        "Otto Quill,first-steps,H major\n",
        "utf-8",
    )
    page = window()
    told = page.get_by_role("alert").inner_text()
    assert "roster.csv, row 2" in told and "first-steps" in told and "row 3" in told
    assert page.get_by_role("button", name="Build").count() == 0
    assert page.get_by_role("heading", name="Otto Quill").is_visible()
    pictured(page, "bad-roster")


@pytest.mark.parametrize("body", ["", "week=tomorrow", "week=2027-01-19&what=all"])
def test_a_build_of_nothing_is_refused(raw, body):
    assert raw.status("POST", "/build", body) == 400
    assert raw.desk.builds.job is None


def test_a_student_who_is_not_there_is_told(raw):
    raw.ask("POST", "/build", "week=2027-01-19&student=Pipa+Marrowby")
    job = raw.desk.builds.job
    assert not job.future.result(60).well
    _, text = raw.ask("GET", "/build")
    assert "Nothing was built" in text and "Pippa Marrowby" in text


def test_marks_are_copied_into_the_folder_when_the_desk_ends(studio, code):
    one = Raw(studio)
    one.ask("POST", f"/mark/{code}/1", "touch=1 wrong")
    one.close()
    assert "wrong" in (studio / "record" / "marks.csv").read_text("utf-8-sig")


class TestFirstVisit:
    @pytest.fixture
    def studio(self, tmp_path):
        """A folder that is no studio yet."""
        return tmp_path / "new"

    def test_a_form_makes_a_studio(self, window, studio):
        page = window("phone")
        assert page.get_by_role("heading", name="A new studio").is_visible()
        pictured(page, "first-visit")
        for number, name in enumerate(["Wren Attley", "", "=Sum O’Reilly"], 1):
            page.get_by_label(f"Student {number}", exact=True).fill(name)
        page.get_by_label("Level of student 3").select_option("level-02")
        page.get_by_label("First lesson").fill("2027-01-12")
        page.get_by_label("Exam").fill("2027-06-05")
        page.get_by_role("button", name="Make the studio").click()
        page.get_by_role("heading", name="This week").wait_for()
        heads = page.get_by_role("heading", level=2).all_inner_texts()
        assert heads == ["Wren Attley", "=Sum O’Reilly"]
        assert is_studio(studio) and len(list((studio / "record").glob("*.sqlite"))) == 1
        assert len(read_studio(studio).term.weeks()) == 21
        assert "=Sum O’Reilly,level-02," in (studio / "roster.csv").read_text("utf-8")

    def test_a_row_comes_for_each_student_more(self, window, studio):
        page = window()
        for number in range(1, 9):
            page.get_by_label(f"Student {number}", exact=True).fill(f"Wren {number}")
        page.get_by_role("button", name="Make the studio").click()
        page.get_by_role("heading", name="Wren 8").wait_for()

    def test_the_invented_studio_is_looked_at_and_left(self, window, studio):
        page = window("phone")
        page.get_by_role("button", name="Look at an invented studio").click()
        page.get_by_role("heading", name="Zoë Lindqvist-Okafor").wait_for()
        assert not is_studio(studio) and is_studio(studio / "invented-studio")
        page.get_by_role("link", name="The term").click()
        page.get_by_role("heading", name="Lesson weeks: 12").wait_for()
        page.get_by_role("button", name="Back to your own folder").click()
        page.get_by_role("heading", name="A new studio").wait_for()

    @pytest.mark.parametrize(
        "body",
        [
            "",
            "student0=Wren&level0=level-99",
            "student0=%0A&level0=level-02",
            "student0=Wren&level0=level-02&exam=soon",
            "student0=Wren&level0=level-02&first_lesson=2027-06-05&exam=2027-01-12",
        ],
    )
    def test_what_is_wrong_is_told_and_nothing_is_made(self, raw, studio, body):
        answer, text = raw.ask("POST", "/begin", body)
        assert answer.status == 400 and 'role="alert"' in text
        assert not is_studio(studio)

    def test_other_pages_lead_to_the_form_or_nowhere(self, raw):
        assert raw.ask("GET", "/")[0].status == 200
        assert raw.status("POST", "/build", "week=2027-01-19") == 404
        assert raw.status("GET", "/mark/ABC-DEF/1") == 409

    def test_a_studio_is_made_once(self, raw, studio):
        assert raw.status("POST", "/begin", "student0=Wren&level0=level-02") == 303
        assert raw.status("POST", "/begin", "student0=Ada&level0=level-02") == 409
        assert "Wren" in (studio / "roster.csv").read_text("utf-8")
