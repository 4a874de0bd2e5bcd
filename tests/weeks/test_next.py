"""Next week's sheets: corrections first, then what is new, within the pages asked for."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta

import pytest
from pypdf import PdfReader

from tests.weeks.test_studio import begun, run, studio  # noqa: F401
from workbook.builds.orders import read_orders
from workbook.marking.outcome import Outcome
from workbook.planning.aimed import CORRECTIONS, Target
from workbook.planning.cells import cells
from workbook.planning.exercise_pool import ExercisePool
from workbook.studio_record.model import Mark, Way
from workbook.weeks.bands import studio_calibration
from workbook.weeks.next_sheets import set_next
from workbook.weeks.progress import studio_progress
from workbook.weeks.results import marked_sheets
from workbook.weeks.studios import opened

PIPPA = "Pippa Marrowby"


@pytest.fixture
def marked(studio):  # noqa: F811
    """A studio in which Pippa's first sheet is marked: two exercises have wrong boxes."""
    text = (studio / "studio.toml").read_text("utf-8")
    text = text.replace("# first_lesson", "first_lesson").replace("# exam =", "exam =")
    (studio / "studio.toml").write_text(text, "utf-8")
    run("mark", of(studio)[0].sheet.code, "--wrong", "1 3.1", "--studio", studio)
    return studio


def of(folder, student=PIPPA):
    with opened(folder) as one:
        return marked_sheets(one, student)


def next_week(folder, *more):
    return run("next", "--studio", folder, "--week", "2027-01-19", "--student", PIPPA, *more)


def test_what_was_wrong_comes_first_as_new_exercises(marked):
    said = next_week(marked)
    first, second = of(marked)
    corrections = second.workbook.sections[0]
    assert corrections.title == CORRECTIONS and f"A {CORRECTIONS}: " in said
    assert {one.cell for one in first.items if one.right < one.boxes} == {
        (type(first.items[0].cell))(item.skill, item.key) for item in corrections.items
    }
    had = {item.identity for item in first.workbook.items}
    fresh = [item.identity not in had for item in second.workbook.items]
    assert sum(fresh) >= len(fresh) // 2


def test_the_very_exercises_come_again_when_asked(marked):
    next_week(marked, "--again")
    first, second = of(marked)
    had = {item.identity for item in first.workbook.items}
    assert all(item.identity in had for item in second.workbook.sections[0].items)


@pytest.mark.parametrize("pages", [1, 2, 3])
def test_a_sheet_has_the_pages_asked_for(marked, pages):
    next_week(marked, "--pages", str(pages))
    sheet = of(marked)[-1].sheet
    assert len(PdfReader(marked / sheet.folder / "workbook.pdf").pages) == pages


def test_the_reasons_are_in_the_record_and_not_on_the_sheet(marked):
    said = next_week(marked)
    sheet = of(marked)[-1]
    with opened(marked) as one:
        reasons = one.record.reasons(sheet.sheet.code)
    assert reasons.keys() == {section.letter for section in sheet.workbook.sections}
    assert all(words in said for words in reasons.values())
    printed = PdfReader(marked / sheet.sheet.folder / "workbook.pdf").pages[0].extract_text()
    assert "last time" not in printed


def test_an_unmarked_studio_has_no_corrections(studio):  # noqa: F811
    said = next_week(studio)
    assert CORRECTIONS not in said
    assert "Not met yet" in said or "Set last week and not marked" in said


def test_aimed_sheets_are_made_again_from_the_record(marked, tmp_path):
    for number, more in enumerate(((), ("--again",))):
        next_week(marked, *more)
        sheet = of(marked)[-1].sheet
        out = tmp_path / str(number)
        run("record", "remake", sheet.code, "--out", out, "--studio", marked)
        for path in (marked / sheet.folder).iterdir():
            assert (out / path.name).read_bytes() == path.read_bytes()


def test_two_sheets_in_a_row_differ(marked):
    next_week(marked)
    said = next_week(marked)
    assert "the new ones are in 2027-01-19-2" in said
    one, other = of(marked)[-2:]
    assert one.sheet.code != other.sheet.code


def test_points_of_a_section_count_for_its_exercises(marked):
    with opened(marked) as one:
        code = next(s.code for s in one.record.sheets("Otto Quill"))
        section = one.record.workbook(code).sections[0]
        full = sum(item.points for item in section.items)
        one.record.mark(code, {}, "table", points={section.letter: full / 2})
        (sheet,) = marked_sheets(one, "Otto Quill")
    assert [item.item.number for item in sheet.items] == [item.number for item in section.items]
    assert all(abs(item.right / item.boxes - 0.5) <= 0.5 / item.boxes for item in sheet.items)


def test_a_plan_that_was_made_counts_for_its_seed_alone(marked):
    with opened(marked) as one:
        orders, tables, _ = read_orders(one.studio.roster, one.studio.build)
        row = orders[0].row
        ways = cells(row.template, row.keys)
        targets = tuple(Target(cell, choices[0]) for cell, choices in ways.items())[:3]
        order = replace(orders[0], targets=targets)
        (plan,) = order.plans("first", tables, 1, ExercisePool())
        made = replace(order, plan=plan)
        assert made.plans("first", tables, 1, ExercisePool())[0] is plan
        (other,) = made.plans("second", tables, 1, ExercisePool())
        assert other == order.plans("second", tables, 1, ExercisePool())[0] != plan


def set_exam(folder, day):
    settings = folder / "studio.toml"
    text = re.sub(r"(?m)^exam = .*", f"exam = {day}", settings.read_text("utf-8"))
    settings.write_text(text, "utf-8")


def test_the_teacher_is_told_that_there_is_no_room_for_corrections(marked, monkeypatch):
    monkeypatch.setattr("workbook.planning.aim.all_fit", lambda *_: True)
    set_exam(marked, "2027-01-26")
    roster = marked / "roster.csv"
    roster.write_text(roster.read_text("utf-8").replace("C major; G major", "all", 1), "utf-8")
    said = next_week(marked, "--pages", "1")
    (line,) = [line for line in said.splitlines() if line.startswith("No room for corrections")]
    assert PIPPA in line
    assert of(marked)[-1].workbook.sections[0].title != CORRECTIONS


def test_corrections_come_if_not_all_can_be_met_by_the_exam(marked):
    set_exam(marked, "2027-01-26")
    roster = marked / "roster.csv"
    roster.write_text(roster.read_text("utf-8").replace("C major; G major", "all", 1), "utf-8")
    said = next_week(marked)
    corrections, *others = of(marked)[-1].workbook.sections
    assert corrections.title == CORRECTIONS and "No room" not in said
    keys = [item.key for part in others for item in part.items if item.key]
    assert len(set(keys)) == len(keys) > 1


def test_bands_are_those_of_the_progress_page(studio):  # noqa: F811
    """Sheets all right and all wrong in turn: the log widens the bands, for next week's too."""
    weeks = [date(2027, 1, 12) + timedelta(weeks=number) for number in range(5)]
    for number, week in enumerate(weeks[:-1]):
        if number:
            run("next", "--studio", studio, "--week", f"{week}")
        with opened(studio) as one:
            for sheet in one.record.sheets():
                if sheet.week == f"{week}":
                    outcome = (Outcome.RIGHT, Outcome.WRONG)[number % 2]
                    blanks = one.record.workbook(sheet.code).blanks
                    marks = {blank.id: Mark(outcome) for blank in blanks}
                    one.record.mark(sheet.code, marks, Way.TYPED)
    with opened(studio) as one:
        names = {student.name for student in one.record.students()}
        assert studio_calibration(one, names).widen > 1.2
        shown = {found.student: found for found in studio_progress(one, weeks[-1])}
        told = {
            (low, high)
            for sheet in set_next(one, weeks[-1], students=[PIPPA])
            for _, _, words in sheet.reasons
            for low, high in re.findall(r"weakest.*?; (\d+) to (\d+) of 100", words)
        }
    bands = {
        (f"{100 * one.low:.0f}", f"{100 * one.high:.0f}") for one in shown[PIPPA].estimates.values()
    }
    assert told and told <= bands


def test_a_workbook_that_cannot_be_read_is_told_before_sheets_are_set(marked):
    """The table of marks, which is older than the last mark, needs all of it."""
    (marked / "record" / "marks.csv").unlink()
    with opened(marked) as one:
        file = one.record.path
    with closing(sqlite3.connect(file, isolation_level=None)) as raw:
        raw.execute("DROP TRIGGER edition_update")
        raw.execute(
            "UPDATE edition SET key_json = 'text' WHERE id IN (SELECT edition FROM outline)"
        )
    before = sorted(marked.rglob("*"))
    said = run("next", "--studio", marked, "--week", "2027-01-19", code=1)
    assert "something that this program cannot read" in said
    assert sorted(marked.rglob("*")) == before
