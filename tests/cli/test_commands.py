"""Each command through click's own runner."""

import json
import os
import subprocess
import sys

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from tests.key_json import items as key_items
from workbook import cli
from workbook.cli import parameters
from workbook.exercises.families import FAMILIES


def run(*words):
    return CliRunner().invoke(cli.main, list(words))


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("demo",),
        ("build",),
        ("templates",),
        ("preview",),
        ("check",),
        ("print",),
        ("templates", "copy"),
        ("templates", "show"),
        ("templates", "list"),
    ],
)
def test_help_has_an_example(words):
    result = run(*words, "--help")
    assert result.exit_code == 0 and "workbook " in result.output
    if words:
        assert "Example:" in result.output


def test_help_is_quick():
    """Of the processor, which other programs do not count in."""
    code = "from workbook.cli import main; main(['--help'], prog_name='workbook')"
    times = []
    for _ in range(10):
        before = os.times()
        subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)
        after = os.times()
        times.append(sum(after[2:4]) - sum(before[2:4]))
    assert min(times) < 0.15


@pytest.mark.parametrize("words", [["--help"], ["build", "--help"]])
def test_help_loads_nothing_heavy(words):
    code = (
        "import sys\n"
        "from workbook.cli import main\n"
        f"main({words}, prog_name='workbook', standalone_mode=False)\n"
        "print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    loaded = {name.partition(".")[0] for name in done.stdout.splitlines()[-1].split()}
    assert "click" in loaded
    assert not loaded & {"abjad", "fontTools", "numpy", "pikepdf", "PIL", "pypdf", "reportlab"}


def test_demo_says_what_it_wrote_and_what_to_open(tmp_path):
    result = run("demo", "--out", str(tmp_path / "d"))
    assert result.exit_code == 0, result.output
    assert "Open first:" in result.output
    assert result.output.count("key code") >= 3


def test_bad_rows_are_all_told_and_nothing_is_written(tmp_path):
    roster = tmp_path / "roster.csv"
    roster.write_text(
        "student,template,keys\nAda,first-step,C major\nBen,first-steps,H major\n"
        ",first-steps,C major\n",
        "utf-8",
    )
    result = run("build", str(roster), "--out", str(tmp_path / "out"))
    assert result.exit_code == 2 and not (tmp_path / "out").exists()
    for words in (
        "row 2",
        'did you mean "first-steps"',
        "row 3",
        'did you mean "B major"',
        "row 4",
        "nothing was written",
    ):
        assert words in result.output, result.output


def test_templates_list_show_copy(tmp_path):
    listed = run("templates", "list").output
    assert "first-steps" in listed and "all-skills" in listed
    assert "[[section]]" in run("templates", "show", "first-steps").output
    mine = tmp_path / "mine" / "spring.toml"
    assert run("templates", "copy", "first-steps", str(mine)).exit_code == 0
    assert "spring" in run("templates", "list", "--template-dir", str(mine.parent)).output
    (mine.parent / "broken.toml").write_text("title = 3\n", "utf-8")
    told = run("templates", "list", "--template-dir", str(mine.parent))  # the others all the same
    assert told.exit_code == 2 and "broken.toml, line 1" in told.output
    assert "spring" in told.output and "review:" in told.output
    assert run("templates", "copy", "first-steps", str(mine)).exit_code != 0
    assert "cannot write" in run("templates", "copy", "first-steps", f"{mine}/x.toml").output
    assert "must end in .toml" in run("templates", "copy", "first-steps", f"{mine}2").output
    wrong = run("templates", "show", "first-stps")
    assert wrong.exit_code == 2 and 'did you mean "first-steps"' in wrong.output


SHOWN = ("scale-fingering", "keyboard-names", "counting", "term-meanings", "harmonizing")
"""Of these the suite previews one each: staves, a keyboard, one line, words, four parts."""


@pytest.mark.parametrize(
    "family",
    [pytest.param(name, marks=() if name in SHOWN else pytest.mark.sweep) for name in FAMILIES],
)
def test_preview(family, tmp_path):
    out = tmp_path / "one.pdf"
    result = run("preview", family, "--key", "e-flat minor", "--hand", "both", "--out", str(out))
    assert result.exit_code == 0, result.output
    assert out.read_bytes().startswith(b"%PDF")


def test_preview_png_and_settings(tmp_path):
    out = tmp_path / "one.png"
    result = run(
        "preview", "intervals", "--key", "E major", "--set", "quality=true", "--out", str(out)
    )
    assert result.exit_code == 0 and out.read_bytes().startswith(b"\x89PNG")
    for key in ("H major", "all major"):
        assert run("preview", "intervals", "--key", key).exit_code == 2
    assert run("preview", "intervals", "--key", "E major", "--set", "x=1").exit_code == 2
    assert run("preview", "intervals", "--key", "E major", "--out", "x.doc").exit_code == 2


def test_keys_to_complete_are_the_keys():
    from workbook.music.keys import ALL_KEYS

    names = {f"{t} {m}" for m, tonics in parameters.TONICS.items() for t in tonics.split()}
    assert names == {key.ascii for key in ALL_KEYS}


def test_shell_completion():
    code = "from workbook.cli import main; main(prog_name='workbook')"
    done = subprocess.run(
        [sys.executable, "-c", code],
        check=False,
        capture_output=True,
        text=True,
        env=os.environ
        | {
            "_WORKBOOK_COMPLETE": "bash_complete",
            "COMP_WORDS": "workbook preview inter",
            "COMP_CWORD": "2",
        },
    )
    assert "intervals" in done.stdout


def test_own_fingerings_are_in_the_answers(tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text('[[scale]]\nkeys = ["Bb major"]\nright = "212312341231234"\n', "utf-8")
    (tmp_path / "t.toml").write_text(
        'title = "T"\n[[section]]\nfamily = "scale-fingering"\nhands = "right"\ncount = 1\n'
        "points = 1\n",
        "utf-8",
    )
    roster = tmp_path / "roster.csv"
    roster.write_text("student,template,keys\nAda,t,Bb major\n", "utf-8")
    result = run(
        "build",
        str(roster),
        "--out",
        str(tmp_path / "out"),
        "--template-dir",
        str(tmp_path),
        "--fingering",
        str(mine),
    )
    assert result.exit_code == 0, result.output
    (key,) = (tmp_path / "out").rglob("key.json")
    blanks = key_items(json.loads(key.read_text("utf-8")))[0]["blanks"]
    assert "".join(b["answer"] for b in blanks) == "212312343213212"
    assert [b["why"] for b in blanks if "why" in b] == ["thumb under after 2", "4 on B♭", "3 over"]
    drawn = run(
        "preview",
        "scale-fingering",
        "--key",
        "Bb major",
        "--fingering",
        str(mine),
        "--out",
        str(tmp_path / "x.pdf"),
    )
    assert drawn.exit_code == 0, drawn.output


def test_bad_fingerings_and_bad_rows_are_told_together(tmp_path):
    mine, roster = tmp_path / "mine.toml", tmp_path / "roster.csv"
    mine.write_text('[[scale]]\nkeys = ["Bb major"]\nright = "2123"\n', "utf-8")
    roster.write_text("student,template,keys\nAda,first-steps,H major\n", "utf-8")
    result = run("build", str(roster), "--out", str(tmp_path / "out"), "--fingering", str(mine))
    assert result.exit_code == 2 and "2 problems" in result.output
    assert "mine.toml, line 3: right has 4 digits; write 15" in result.output
    assert 'did you mean "B major"' in result.output


def test_study(tmp_path):
    out = tmp_path / "study"
    result = run(
        "study", "E major", "a minor", "--level", "2", "--faded", "0,50", "--out", str(out)
    )
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in out.iterdir()) == [
        "A-minor-level-02-50-out.pdf",
        "A-minor-level-02.pdf",
        "E-major-level-02-50-out.pdf",
        "E-major-level-02.pdf",
        "level-02-all.pdf",
    ]
    about = PdfReader(out / "level-02-all.pdf").metadata
    assert about.title == "Study pages, Level 2: E major, A minor" and about.subject
    for wrong in (
        ("--level", "2", "--template", "review"),
        (),
        ("--level", "2", "--faded", "30"),
        ("--level", "11"),
    ):
        assert run("study", "E major", *wrong, "--out", str(out)).exit_code == 2
    words = run(
        "study", "e", "Flat", "MINOR", "F#", "major", "--level", "1", "--out", str(out / "w")
    )
    assert words.exit_code == 0, words.output  # a key without quotes
    assert {path.name for path in (out / "w").iterdir()} == {
        "E-flat-minor-level-01.pdf",
        "F-sharp-major-level-01.pdf",
        "level-01-all.pdf",
    }
    result = run("study", "E", "--level", "2")
    assert result.exit_code == 2 and 'did you mean "E major"' in result.output


def test_forms(tmp_path):
    roster = tmp_path / "r.csv"
    roster.write_text("student,template,keys\nAda,level-02,\n")
    result = run(
        "build",
        str(roster),
        "--out",
        str(tmp_path / "o"),
        "--forms",
        "2",
        "--grey",
        "--letters",
        "german",
        "--steps",
        "semitone",
    )
    assert result.exit_code == 0, result.output
    assert sorted(p.name for p in (tmp_path / "o" / "Ada").iterdir()) == ["form-A", "form-B"]
    a, b = (
        (tmp_path / "o" / "Ada" / f / "key.json").read_text("utf-8") for f in ("form-A", "form-B")
    )
    assert a != b and '"form": "A"' in a and '"T"' in a
