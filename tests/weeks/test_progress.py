"""Progress pages and term charts, from what was marked."""

from __future__ import annotations

import csv
import re
from datetime import date

import pytest
from pypdf import PdfReader

from tests.weeks.test_studio import begun, run, sheets, studio  # noqa: F401
from workbook.estimates.results import Cell
from workbook.weeks.progress import cell_name, studio_progress
from workbook.weeks.results import marked_sheets
from workbook.weeks.studios import opened
from workbook.weeks.term import term_plans
from workbook.weeks.this_week import this_week

PIPPA = "Pippa Marrowby"


@pytest.fixture
def marked(studio):  # noqa: F811
    """A studio with a term, in which Pippa's first sheet is marked."""
    text = (studio / "studio.toml").read_text("utf-8")
    for name in ("first_lesson", "exam", "weeks_off"):
        text = text.replace(f"# {name}", name)
    (studio / "studio.toml").write_text(text, "utf-8")
    with opened(studio) as one:
        code = next(sheet.code for sheet in one.record.sheets(PIPPA))
    run("mark", code, "--wrong", "1 3.1", "--studio", studio)
    return studio


def test_the_pages_show_what_was_marked(marked):
    said = run("progress", "--studio", marked)
    assert f"{marked / 'progress' / 'studio.pdf'}" in said
    text = PdfReader(marked / "progress" / "Pippa-Marrowby.pdf").pages[0].extract_text()
    assert "Pippa Marrowby: progress" in text and "Weakest now" in text
    whole = PdfReader(marked / "progress" / "studio.pdf").pages[0].extract_text()
    assert "Otto Quill: 1 sheet to mark" in whole


def test_the_table_has_every_cell(marked):
    run("progress", "--studio", marked)
    with (marked / "progress" / "progress.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["student"] == PIPPA]
    with opened(marked) as one:
        (sheet,) = marked_sheets(one, PIPPA)
        found = next(p for p in studio_progress(one, date(2027, 1, 13)) if p.student == PIPPA)
    boxes: dict[Cell, int] = {}
    for item in sheet.items:
        boxes[item.cell] = boxes.get(item.cell, 0) + item.boxes
    assert {Cell(r["skill"], r["key"]): int(r["boxes marked"]) for r in rows} == {
        cell: boxes.get(cell, 0) for cell in found.estimates
    }
    for row in rows:
        met = row["boxes marked"] != "0"
        assert bool(row["likely right"]) == met
        if met:
            assert 0 <= int(row["low"]) <= int(row["likely right"]) <= int(row["high"]) <= 100


def test_the_weakest_spot_is_what_was_wrong(marked):
    with opened(marked) as one:
        (sheet,) = marked_sheets(one, PIPPA)
        found = next(p for p in studio_progress(one, date(2027, 1, 13)) if p.student == PIPPA)
    worst = min(sheet.items, key=lambda item: item.right / item.boxes)
    assert worst.cell in [cell for cell, _ in found.weakest]
    assert all(cell_name(cell, found.naming) in words for cell, words in found.weakest)


def test_what_was_always_right_is_no_weak_spot(studio):  # noqa: F811
    with opened(studio) as one:
        code = next(sheet.code for sheet in one.record.sheets() if sheet.student == PIPPA)
    run("mark", code, "--wrong", "1", "--studio", studio)
    with opened(studio) as one:
        (sheet,) = marked_sheets(one, PIPPA)
        found = next(p for p in studio_progress(one, date(2027, 1, 13)) if p.student == PIPPA)
    assert [cell for cell, _ in found.weakest] == [sheet.mistakes[0].cell]


def test_the_term_plan_meets_every_cell_before_the_exam(marked):
    with opened(marked) as one:
        plans = term_plans(one, date(2027, 1, 13))
        (sheet,) = marked_sheets(one, PIPPA)
    plan = next(plan for plan in plans if plan.student == PIPPA)
    cells = [cell for week in plan.weeks for cell in week.new]
    assert len(cells) == len(set(cells)) == plan.total
    assert plan.met == len({item.cell for item in sheet.items})
    first = plan.weeks[0]
    assert first.past and set(first.new) == {item.cell for item in sheet.items}
    off = [week for week in plan.weeks if week.off]
    assert [week.day for week in off] == [date(2027, 2, 16)] and not off[0].new
    told = "they fit" if plan.met < plan.total else "Every skill has been met"
    assert any(told in words for words in plan.sentences)


@pytest.mark.parametrize(
    "level, keys, day, told",
    [
        (
            "level-03",
            "",
            date(2027, 1, 12),
            r"\d keys too many for 20 weeks at 1 page: set \d pages a week or leave out .*D mi",
        ),
        (
            "level-10",
            "all",
            date(2027, 5, 4),
            r"\d+ skills in keys to meet, and 5 weeks at 1 page have room for \d+: use fewer keys",
        ),
        ("level-01", "", date(2027, 6, 5), r"39 skills in keys not met, and no lesson is left"),
    ],
)
def test_what_no_longer_fits_is_told(marked, level, keys, day, told):
    roster = (marked / "roster.csv").read_text("utf-8")
    roster = roster.replace("first-steps,D major", f"{level},{keys}")
    (marked / "roster.csv").write_text(roster, "utf-8")
    with opened(marked) as one:
        plans = term_plans(one, day, 1)
    plan = next(plan for plan in plans if plan.student == "Otto Quill")
    assert re.match(told, plan.sentences[0]), plan.sentences


def test_the_chart_is_written(marked):
    said = run("term", "--studio", marked)
    assert "Pippa Marrowby, First Steps: met" in said
    pages = PdfReader(marked / "term" / "all.pdf").pages
    assert len(pages) == 2
    text = "".join(page.extract_text() for page in pages)
    assert "no lesson" in text and "12 January" in text


def test_a_studio_without_dates_is_told_what_to_write(studio):  # noqa: F811
    said = run("term", "--studio", studio, code=1)
    assert "--first-lesson" in said


def test_what_was_reckoned_once_is_reckoned_again_after_a_mark(studio):  # noqa: F811
    code = sheets(studio)[PIPPA].code
    run("mark", code, "--wrong", "1", "--studio", studio)

    def seen():
        with opened(studio) as one:
            (found,) = studio_progress(one, date(2027, 1, 13), PIPPA)
            line = next(w for w in this_week(one).students if w.student == PIPPA).sheets[0]
            return found, line.points

    first, points = seen()
    assert seen()[0] is first
    run("mark", code, "--wrong", "1 2", "--studio", studio)
    second, fewer = seen()
    assert second.points != first.points and second.estimates != first.estimates
    assert fewer < points and second.points[0].points == fewer
