"""Names of files and folders that the system refuses, or that cannot be: told in our words."""

import os

import pytest
from click.testing import CliRunner

from workbook import build, cli
from workbook.engraving.cache import SETTING
from workbook.errors import ExitCode, InputError

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links and permissions of POSIX")

PREVIEW = ("preview", "intervals", "--key", "C major")
LOOP = "it is a link to itself"


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder to run in, with links that lead to themselves, without an engraver."""
    monkeypatch.setenv("WORKBOOK_LILYPOND", str(tmp_path / "none"))
    monkeypatch.setenv(SETTING, str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine").mkdir()
    for name in ("loop", "loop.pdf", "mine/loop.toml"):
        (tmp_path / name).symlink_to((tmp_path / name).name)
    (tmp_path / "file").write_text("x")
    (tmp_path / "roster.csv").write_text("student,template,keys\nAda,first-steps,C major\n")
    return tmp_path


def told(*words):
    result = CliRunner().invoke(cli.main, words)
    assert isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code in (ExitCode.BAD_INPUT, ExitCode.NOT_WRITTEN), result.output
    return result.output


@pytest.mark.parametrize(
    "words, why",
    [
        (("print", "loop.pdf", "--out", "x.pdf"), LOOP),
        (("build", "roster.csv", "--out", "loop/x"), LOOP),
        (("templates", "show", "loop", "--template-dir", "mine"), LOOP),
        (("templates", "copy", "loop", "x.toml", "--template-dir", "mine"), LOOP),
        (("study", "C major", "--template", "loop", "--template-dir", "mine", "--out", "x"), LOOP),
        (("build", "roster.csv", "--out", "loop"), "there is a file with that name"),
        (("build", "roster.csv", "--out", "file/x"), "part of its path is a file, not a folder"),
        (("templates", "copy", "review", "file/x.toml"), "there is a file with that name"),
        (("build", "x" * 300, "--out", "x"), "its name is too long"),
        (("build", "roster.csv", "--out", "x" * 300), "its name is too long"),
    ],
)
def test_what_the_system_refuses(place, words, why):
    output = told(*words)
    assert why in output and "rrno" not in output and "link loop" not in output, output


@pytest.mark.parametrize(
    "words, option",
    [
        (("build", "ro\0ster.csv", "--out", "x"), "[ROSTER]"),
        (("build", "roster.csv", "--out", "x\0"), "--out"),
        (("build", "roster.csv", "--template-dir", "mi\0ne", "--out", "x"), "--template-dir"),
        ((*PREVIEW, "--out", "\0.pdf"), "--out"),
        (("study", "C major", "--level", "1", "--out", "\0"), "--out"),
        (("print", "\0.pdf", "--out", "x.pdf"), "FILE..."),
        (("templates", "copy", "review", "\0.toml"), "FILE"),
        (("check", "x\0"), "FOLDER"),
        (("begin", "x\0"), "FOLDER"),
    ],
)
def test_a_name_with_a_nul_character(place, words, option):
    expected = f"Invalid value for '{option}': the name has a NUL character; remove it"
    assert expected in told(*words)


ROSTER = "student,template,keys\nA\ue000,mine,C major\nB,mine,H major\n"
TEMPLATE = """title = "B \ue001"
[[section]]
family = "note-names"
clefs = "treble"
count = 2
points = 1
title = "C \ue002"
"""


def test_characters_that_no_font_has_are_told_before_anything_is_engraved(place):
    """By every command that reads a roster or a template, with the other problems."""
    (place / "roster.csv").write_text(ROSTER, "utf-8")
    (place / "mine" / "mine.toml").write_text(TEMPLATE, "utf-8")
    in_template = [
        "mine.toml, line 1: no font on this computer has these characters of the title: U+E001",
        "mine.toml, line 7: no font on this computer has these characters of the title: U+E002",
    ]
    in_roster = [
        "roster.csv, row 2: no font on this computer has these characters of the name: U+E000",
        'roster.csv, row 3: "H major" is not a key',
    ]
    built = told("build", "roster.csv", "--template-dir", "mine", "--out", "x")
    study = told("study", "C major", "--template", "mine", "--template-dir", "mine", "--out", "x")
    listed = told("templates", "list", "--template-dir", "mine")
    assert [line for line in in_template + in_roster if line not in built] == []
    assert [line for line in in_template if line not in study or line not in listed] == []
    with pytest.raises(InputError) as caught:
        build("roster.csv", "x", template_dir="mine")
    assert len(caught.value.problems) == 4 and not (place / "x").exists()
