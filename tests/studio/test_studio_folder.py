"""``studio.toml``: read with every problem at once; weeks of the term."""

from __future__ import annotations

from datetime import date

import pytest
from click.testing import CliRunner

from workbook.cli import main
from workbook.errors import InputError, OutputError
from workbook.inputs import problem_log
from workbook.studio.folder import Term, is_studio, new_studio, read_studio


def test_a_new_studio_can_be_read(tmp_path):
    made = new_studio(tmp_path / "studio", b"student,template,keys\nAda,level-01,C major\n")
    assert is_studio(made.folder) and made.roster.read_bytes().startswith(b"student")
    assert read_studio(made.folder) == made
    assert made.rule is None and made.pages == 2 and made.term == Term()
    with pytest.raises(OutputError, match="already"):
        new_studio(tmp_path / "studio", b"")


def test_a_roster_that_is_there_is_not_written_again(tmp_path):
    roster = tmp_path / "roster.csv"
    roster.write_bytes(b"student,template,keys\n")
    before = roster.stat()
    with pytest.raises(OutputError, match="already exists"):
        new_studio(tmp_path, b"student\n")
    assert not is_studio(tmp_path)
    new_studio(tmp_path, roster.read_bytes())
    assert is_studio(tmp_path)
    after = roster.stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert not list(tmp_path.glob(".*"))


def test_a_roster_that_cannot_be_read_is_told(tmp_path, monkeypatch):
    (tmp_path / "roster.csv").write_bytes(b"student,template,keys\n")

    def refused(*given, **more):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(problem_log, "read_file", refused)
    done = CliRunner().invoke(main, ["begin", str(tmp_path)])
    assert done.exit_code == 2 and "roster.csv: cannot be read: you have no perm" in done.output
    assert [path.name for path in tmp_path.iterdir()] == ["roster.csv"]


def test_every_problem_is_told_with_its_line(tmp_path):
    new_studio(tmp_path, b"student\n")
    text = (tmp_path / "studio.toml").read_text("utf-8")
    text = text.replace('paper = "letter"', 'paper = "a7"').replace("safe = 0.8", "safe = 80")
    text = text.replace("# exam = 2027-06-05", 'exam = "June"').replace("pages = 2", "page = 2")
    (tmp_path / "studio.toml").write_text(text, "utf-8")
    with pytest.raises(InputError) as error:
        read_studio(tmp_path)
    said = str(error.value)
    assert "studio.toml, line 6: exam" in said
    assert "line 10: paper cannot be" in said
    assert "line 12: unknown key" in said and "pages" in said
    assert "line 21: safe" in said


def test_an_exam_before_the_first_lesson_is_told(tmp_path):
    new_studio(tmp_path, b"student\n")
    with (tmp_path / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("[later]\n")
    text = (tmp_path / "studio.toml").read_text("utf-8")
    text = text.replace("# first_lesson", "first_lesson").replace("# exam = 2027", "exam = 2026")
    (tmp_path / "studio.toml").write_text(text, "utf-8")
    with pytest.raises(InputError, match="after the first lesson") as error:
        read_studio(tmp_path)
    assert 'unknown key "later"' in str(error.value)


def test_the_weeks_of_a_term():
    term = Term(date(2027, 1, 12), date(2027, 2, 20), (date(2027, 2, 1),))
    assert [day.isoformat() for day in term.weeks()] == [
        "2027-01-12",
        "2027-01-19",
        "2027-01-26",
        "2027-02-09",
        "2027-02-16",
    ]
    assert term.lesson(date(2027, 1, 27)) == date(2027, 2, 9)
    assert term.lesson(date(2027, 2, 17)) is None
    assert Term().weeks() == []
