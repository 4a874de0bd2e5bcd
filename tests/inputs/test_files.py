"""What is no file is told at once, wherever a command expects a file."""

import json
import os
import shutil
import subprocess
import sys
import tracemalloc
from pathlib import Path

import pytest

from workbook import build
from workbook.builds.studio_files import write_mark_sheet
from workbook.errors import ExitCode, OutputError
from workbook.inputs.files import read_file
from workbook.pages.paper import Paper

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes")
KINDS = {"pipe": "is a pipe", "device": "is a device", "folder": "folder"}
ROSTER = "student,template,keys\nOdile Wren,level-01,C major\n"


def put(kind, path):
    """Something that is no file at ``path``."""
    if path.is_dir():
        shutil.rmtree(path)
    path.unlink(missing_ok=True)
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    else:
        path.mkdir()


EACH = """
import json, sys
from click.testing import CliRunner
from workbook import cli
for words in json.loads(sys.argv[1]):
    done = CliRunner().invoke(cli.main, words)
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    print(json.dumps([done.exit_code, done.output]))
"""


def told(*commands, folder):
    """The exit code and the text of each command, in one process, which must end soon."""
    done = subprocess.run(
        [sys.executable, "-c", EACH, json.dumps([list(map(str, words)) for words in commands])],
        capture_output=True,
        text=True,
        timeout=60,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )
    assert done.returncode == 0, done.stderr
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(found) == len(commands)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_arguments_that_are_no_file(tmp_path, kind):
    (tmp_path / "roster.csv").write_text(ROSTER, "utf-8")
    bad = tmp_path / "bad.toml"
    put(kind, bad)
    (tmp_path / "mine").mkdir()
    put(kind, tmp_path / "mine" / "level-01.toml")
    commands = (
        ("build", bad, "--out", "o"),
        ("build", "roster.csv", "--out", "o", "--fingering", bad),
        ("build", "roster.csv", "--out", "o", "--template-dir", "mine"),
        ("templates", "show", "level-01", "--template-dir", "mine"),
        ("templates", "copy", "level-01", "new.toml", "--template-dir", "mine"),
        ("study", "C major", "--level", "1", "--fingering", bad),
        ("print", bad, "--out", "j.pdf"),
        ("print", bad, "--out", "j.pdf", "--booklet"),
    )
    for words, (code, text) in zip(commands, told(*commands, folder=tmp_path)):
        assert code == 2, words
        assert KINDS[kind] in text or "folder" in text, text
    assert not (tmp_path / "o").exists()


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A build for one student."""
    folder = tmp_path_factory.mktemp("built")
    (folder / "roster.csv").write_text(ROSTER.replace("level-01", "tiny"), "utf-8")
    templates = Path(__file__).parents[1] / "builds" / "templates"
    build(folder / "roster.csv", folder / "out", template_dir=templates)
    return folder / "out"


@pytest.mark.parametrize("kind", KINDS)
def test_check_says_which_of_its_files_is_none(built, tmp_path, kind):
    (one,) = (path.parent for path in built.rglob("key.json"))
    names = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")
    for name in names:
        place = tmp_path / name / "book"
        shutil.copytree(one, place)
        put(kind, place / name)
    studio = tmp_path / "studio"
    shutil.copytree(built, studio)
    for name in ("all-workbooks.pdf", "mark-sheet.pdf", "mark-sheet.csv"):
        put(kind, studio / name)
    commands = [("check", tmp_path / name) for name in (*names, "studio")]
    *books, (code, text) = told(*commands, folder=tmp_path)
    assert code == 6 and text.count(KINDS[kind]) >= 3, text
    for name, (code, text) in zip(names, books, strict=True):
        assert code == 6 and KINDS[kind] in text and name in text, text


@pytest.mark.parametrize("kind", ["pipe", "device"])
def test_a_build_over_a_mark_sheet_that_is_no_file(tmp_path, kind):
    (tmp_path / "roster.csv").write_text(ROSTER, "utf-8")
    sheet = tmp_path / "out" / "mark-sheet.csv"
    sheet.parent.mkdir()
    put(kind, sheet)
    ((code, text),) = told(("build", "roster.csv", "--out", "out"), folder=tmp_path)
    assert code == ExitCode.NOT_WRITTEN and "mark-sheet.csv" in text, text
    assert KINDS[kind] in text or "rename it first" in text, text
    assert [path.name for path in sheet.parent.iterdir()] == ["mark-sheet.csv"]
    with pytest.raises(OutputError, match=KINDS[kind]):
        write_mark_sheet([], Paper("letter"), tmp_path, sheet.parent, {})


def test_a_large_file_is_not_read(tmp_path):
    path = tmp_path / "large"
    with path.open("wb") as file:
        file.truncate(300_000_000)
    tracemalloc.start()
    with pytest.raises(OSError, match="larger than 1 MB"):
        read_file(path, 1_000_000)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 10_000_000


def test_reasons_are_sentences(tmp_path):
    (tmp_path / "loop").symlink_to("loop")
    for name, words in (
        ("none", "it does not exist"),
        ("loop", "a link to itself"),
        ("x" * 300, "its name is too long"),
        ("a\0b", "a NUL character; remove it"),
        ("a\ud800b", "characters that are not allowed in file names"),
    ):
        with pytest.raises(OSError, match=words):
            read_file(tmp_path / name)
