"""One list of exit codes: in ``errors.py``, in the README's table, and nowhere as bare numbers."""

import ast
import re
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner

from workbook import cli
from workbook.errors import ExitCode

ROOT = Path(__file__).parents[2]


def test_the_table_in_the_readme_has_every_code():
    section = (ROOT / "README.md").read_text("utf-8").split("## Exit codes\n")[1].split("\n## ")[0]
    listed = [int(code) for code in re.findall(r"^\| (\d+) \|", section, re.MULTILINE)]
    assert listed == sorted(ExitCode)


def bare_numbers(tree: ast.AST) -> list[int]:
    """The lines in which a number leaves the program or is an ``exit_code``."""
    lines = []
    for node in ast.walk(tree):
        value = None
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "exit" and node.args:
            value = node.args[0]
        elif (
            isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "exit_code"
        ) or (isinstance(node, ast.AnnAssign) and getattr(node.target, "id", "") == "exit_code"):
            value = node.value
        if value and any(isinstance(part, ast.Constant) for part in ast.walk(value)):
            lines.append(node.lineno)
    return lines


def test_no_exit_code_is_a_bare_number():
    found = {
        path.name: lines
        for path in (ROOT / "workbook").rglob("*.py")
        if (lines := bare_numbers(ast.parse(path.read_text("utf-8"))))
    }
    assert not found


@pytest.mark.parametrize("there, typed", [("NFC", "NFD"), ("NFD", "NFC")])
def test_a_student_in_either_unicode_form(tmp_path, monkeypatch, there, typed):
    monkeypatch.setenv("WORKBOOK_LILYPOND", str(tmp_path / "none"))
    monkeypatch.setenv("WORKBOOK_CACHE", str(tmp_path / "cache"))
    roster = tmp_path / "roster.csv"
    text = "student,template,keys\nZoë,first-steps,C major\n"
    roster.write_text(unicodedata.normalize(there, text), "utf-8")
    name = unicodedata.normalize(typed, "Zoë")
    words = ["build", str(roster), "--out", str(tmp_path / "out"), "--student", name]
    assert CliRunner().invoke(cli.main, words).exit_code == ExitCode.NO_ENGRAVER


def test_a_study_page_without_an_exercise(tmp_path):
    (tmp_path / "mine.toml").write_text(
        'title = "x"\n[[section]]\nfamily = "scale-fingering"\nhands = "right"\n'
        'forms = "harmonic"\ncount = 1\npoints = 1\n',
        "utf-8",
    )
    words = ["study", "C major", "--template", "mine", "--template-dir", str(tmp_path)]
    done = CliRunner().invoke(cli.main, [*words, "--out", str(tmp_path / "out")])
    assert done.exit_code == ExitCode.BAD_INPUT and not (tmp_path / "out").exists()
    assert "none of its sections suits C major; choose another key" in done.output
