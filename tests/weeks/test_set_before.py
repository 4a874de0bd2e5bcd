"""A studio's build knows what was set before: by the record, and by folders that are named."""

import json
from collections import Counter
from datetime import date

import pytest
from click.testing import CliRunner

from workbook import build
from workbook.cli import main
from workbook.record.identity import item_identity
from workbook.weeks.recipes import remake
from workbook.weeks.sets import set_week
from workbook.weeks.studios import opened

KEYS = "C major; G major; D major; F major"
TEMPLATE = """
title = "Fives"
[[section]]
family = "five-finger"
hands = ["right", "left"]
count = 2
points = 1
[[section]]
family = "key-signatures"
clefs = ["treble", "bass"]
task = "name"
count = 4
points = 1
"""
ROW = {"student": "Ada", "template": "fives", "keys": KEYS}
WEEKS = [date(2027, 1, 12), date(2027, 1, 19), date(2027, 2, 2)]
"""Lessons, with a week off before the third."""


@pytest.fixture
def studio(tmp_path, monkeypatch):
    monkeypatch.setenv("WORKBOOK_DATA", str(tmp_path / "data"))
    folder = tmp_path / "studio"
    (folder / "templates").mkdir(parents=True)
    (folder / "templates" / "fives.toml").write_text(TEMPLATE, "utf-8")
    (folder / "roster.csv").write_text(f"student,template,keys\nAda,fives,{KEYS}\n", "utf-8")
    run("begin", folder)
    return folder


def run(*words):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 0, result.output
    return result.output


def items(studio, built):
    return [item for one in built for item in studio.record.workbook(one.code).items]


def test_weeks_in_a_row_set_nothing_again_and_meet_every_key(studio, tmp_path):
    """Also where a week is off; and every sheet is made again from the record alone."""
    with opened(studio) as one:
        books = [built for week in WEEKS for built in set_week(one, week)]
        found = items(one, books)
        fives = [item for item in found if item.family == "five-finger"]
        assert len({item_identity(item) for item in fives}) == len(fives) == 6
        assert set(Counter(item.key for item in fives[:4]).values()) == {1}
        for number, book in enumerate(books):
            made = remake(one, book.code, tmp_path / f"again-{number}")
            assert made.code == book.code
        with pytest.raises(AssertionError):
            assert items(one, books[:1]) == items(one, books[1:2])


def test_the_same_week_once_more_has_other_exercises_and_replacing_the_same(studio):
    with opened(studio) as one:
        for week in WEEKS[:2]:
            (first,) = set_week(one, week)
        (same,) = set_week(one, WEEKS[1], replacing=True)
        assert same.code == first.code
        (other,) = set_week(one, WEEKS[1])
        fives = [
            {item_identity(i) for i in items(one, [book]) if i.family == "five-finger"}
            for book in (first, other)
        ]
        assert not fives[0] & fives[1]


def test_weekly_sheets_go_round_by_what_was_set(studio, tmp_path):
    """``pages`` of studio.toml holds for ``build`` with ``weekly``; a week off skips nothing."""
    text = (studio / "studio.toml").read_text("utf-8")
    text = text.replace("pages = 2 ", "pages = 1 ").replace("# weekly = true", "weekly = true")
    (studio / "studio.toml").write_text(text, "utf-8")
    template = studio / "templates" / "fives.toml"
    more = TEMPLATE.replace("count = 2", "count = 6").replace("count = 4", "count = 12")
    template.write_text(more, "utf-8")
    with opened(studio) as one:
        books, told = [], []
        for week in WEEKS:
            said = run("build", "--studio", studio, "--week", week)
            told.append(said.splitlines()[-1])
            books = [sheet.code for sheet in one.record.sheets()]
        (said,) = set(told)
        count = int(said.removeprefix("Fives: one round of all sections takes ").split()[0])
        assert said.endswith("sheets of 1 page.") and 2 <= count <= len(WEEKS)
        counts = Counter(
            item.family for code in books[:count] for item in one.record.workbook(code).items
        )
        assert counts == {"five-finger": 6, "key-signatures": 12}
        assert remake(one, books[2], tmp_path / "again").pages == 1
        assert json.loads(one.record.recipe(books[2]))["round"]


def test_folders_of_sheets_that_the_record_does_not_know(studio, tmp_path):
    (old,) = build([ROW | {"title": "Old"}], tmp_path / "old", template_dir=studio / "templates")
    said = run("build", "--studio", studio, "--week", WEEKS[0], "--after", old.folder)
    assert "Ada" in said
    with opened(studio) as one:
        (sheet,) = one.record.sheets()
        had = (old.folder / "key.json").read_text("utf-8")
        fives = {
            (item["key"], item["prompt"])
            for section in json.loads(had)["sections"]
            for item in section["items"]
            if item["family"] == "five-finger"
        }
        new = one.record.workbook(sheet.code).items
        assert not fives & {(item.key, item.prompt) for item in new}
        assert {key for key, _ in fives} | {i.key for i in new if i.family == "five-finger"} == {
            "C major",
            "G major",
            "D major",
            "F major",
        }
        assert remake(one, sheet.code, tmp_path / "again").code == sheet.code
