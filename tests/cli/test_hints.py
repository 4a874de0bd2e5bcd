"""What the command says when something is a little wrong: always what to write instead."""

import io
import zipfile

import pytest
from click.testing import CliRunner

from workbook import cli
from workbook.cli import templates

HEADER = "student,template,keys,title,seed\n"


@pytest.fixture
def roster(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text(HEADER + "Fenja Ålund,first-steps,C major,,\nBo,level-01,,,\n", "utf-8")
    return path


def run(*words):
    return CliRunner().invoke(cli.main, list(map(str, words)))


def told(*words):
    """The message of a command that finds something wrong, and stops before it writes."""
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output and "Error(" not in result.output
    return result.output


@pytest.mark.parametrize("name", ["Fenja", "fenja", "ålund", "Fenia", "fenja alund"])
def test_a_student_by_a_part_of_the_name(roster, tmp_path, name):
    out = tmp_path / "out"
    output = told("build", roster, "--out", out, "--student", name)
    assert f'there is no student "{name}"; did you mean "Fenja Ålund"?' in output
    assert not out.exists()


@pytest.mark.parametrize(
    "words, example",
    [
        (["--seed", "Week", "2"], '--seed "Week 2"'),
        (["--seed=Week", "2", "B"], '--seed "Week 2 B"'),
        (["--student", "Fenja", "Ålund", "--grey"], '--student "Fenja Ålund"'),
        (["--steps", "half", "step"], '--steps "half step"'),
    ],
)
def test_a_text_without_quotes(roster, tmp_path, words, example):
    first = told("build", roster, "--out", tmp_path / "out", *words)
    last = told("build", "--out", tmp_path / "out", *words, roster)
    for output in (first, last):
        assert "one word too many" in output and output.rstrip().endswith(f"as in {example}")


def test_a_word_too_many_that_no_option_explains(tmp_path):
    output = told("templates", "copy", "review", tmp_path / "my", "new.toml")
    assert '"new.toml" is one word too many; put a text of several words in quotes\n' in output
    assert "Usage:" in run("build", "a", "b", "--help").output


def test_a_template_is_found_however_its_name_is_typed(tmp_path):
    as_named = run("templates", "show", "first-steps").output
    for name in ("First-Steps", "first-steps.toml", "FIRST-STEPS.TOML"):
        assert run("templates", "show", name).output == as_named
    copied = tmp_path / "Mine.TOML"
    assert run("templates", "copy", "First-Steps.toml", copied).exit_code == 0
    assert copied.read_text("utf-8") == as_named
    result = run("study", "C major", "--template", "frst-steps", "--out", tmp_path / "s")
    assert result.exit_code == 2 and 'did you mean "first-steps"' in result.output


def test_templates_that_cannot_be_read(tmp_path):
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "latin.toml").write_bytes(b'title = "caf\xe9"\n')
    listed = told("templates", "list", "--template-dir", tmp_path)
    shown = told("templates", "show", "latin", "--template-dir", tmp_path)
    copied = told("templates", "copy", "folder", tmp_path / "new.toml", "--template-dir", tmp_path)
    assert "folder.toml: cannot be read" in listed and "first-steps: " in listed
    assert "nothing was written" not in listed
    assert "latin.toml, line 1: is not UTF-8; save the file as UTF-8" in shown
    assert "folder.toml: cannot be read" in copied and not (tmp_path / "new.toml").exists()


def test_a_folder_of_templates_that_cannot_be_read(tmp_path, monkeypatch):
    from pathlib import Path

    def refuse(self):
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "iterdir", refuse)
    for words in (["list"], ["show", "review"], ["copy", "review", tmp_path / "x.toml"]):
        output = told("templates", *words, "--template-dir", tmp_path)
        assert "the folder of templates cannot be read: you have no permission" in output


def test_a_copy_is_not_written_over_a_file(tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text("mine", "utf-8")
    assert "already exists; name another file" in told("templates", "copy", "review", mine)
    assert mine.read_text("utf-8") == "mine"
    long = tmp_path / f"{'x' * 300}.toml"
    assert "its name is too long" in told("templates", "copy", "review", long)
    assert templates._exists(long) is False


def test_a_spreadsheet_as_roster(tmp_path):
    book = io.BytesIO()
    with zipfile.ZipFile(book, "w") as file:
        file.writestr("xl/workbook.xml", "<x/>")
    path = tmp_path / "roster.xlsx"
    path.write_bytes(book.getvalue())
    output = told("build", path, "--out", tmp_path / "out")
    assert 'roster.xlsx: is an Excel workbook; save it as "CSV UTF-8"' in output


def test_a_separator_line_in_the_roster(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("sep=;\nstudent;template;keys\nBo;none;C major\n", "utf-8")
    assert 'roster.csv, row 3: there is no template "none"' in told(
        "build", path, "--out", tmp_path / "out"
    )


@pytest.mark.parametrize(
    "key, meant", [("B-Dur", "Bb major"), ("h-Moll", "B minor"), ("si bémol majeur", "Bb major")]
)
def test_keys_in_other_languages(tmp_path, key, meant):
    hint = f'"{key}" is not a key; did you mean "{meant}"?'
    path = tmp_path / "roster.csv"
    path.write_text(HEADER + f"Bo,first-steps,{key},,\n", "utf-8")
    assert f"row 2: {hint}" in told("build", path, "--out", tmp_path / "out")
    assert hint in told("study", key, "--level", "1", "--out", tmp_path / "s")
    assert hint in told("preview", "intervals", "--key", key)


def test_an_empty_name(roster, tmp_path):
    assert "--out': the name is empty; name a folder" in told("build", roster, "--out", "")
    assert "the name is empty; name a file" in told("build", "", "--out", tmp_path / "out")
    assert "the name is empty; name a file" in told("print", roster, "--out", " ")


def test_a_family_that_is_not_there():
    output = told("preview", "interval", "--key", "C major")
    assert 'there is no family "interval"; did you mean "intervals"?' in output


def test_many_problems_are_cut_short(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text(HEADER + "Bo,first-steps,H major,,\n" * 70, "utf-8")
    lines = told("build", path, "--out", tmp_path / "out").splitlines()
    assert lines[0] == "70 problems, nothing was written:" and lines[-1] == "and 20 more"
    assert len(lines) == 52


def test_one_of_a_thing_is_not_many(tmp_path):
    (tmp_path / "one.toml").write_text(
        'title = "T"\n[[section]]\nfamily = "five-finger"\nhands = "right"\ncount = 1\n'
        "points = 1\n",
        "utf-8",
    )
    path = tmp_path / "roster.csv"
    path.write_text(HEADER + "Bo,one,C major,,\n", "utf-8")
    listed = run("templates", "list", "--template-dir", tmp_path)
    assert "one: T (1 exercise)\n" in listed.output
    built = run("build", path, "--out", tmp_path / "out", "--template-dir", tmp_path)
    assert "Bo: T, 1 exercise, 1 point, 1 page, key code " in built.output
