"""Builds that end in the middle: what the next command finds is all old or all new.

A copy of the folder is taken at every rename, which is what a kill there leaves behind.
"""

import csv
import hashlib
import io
import os
import shutil
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

import workbook
from workbook.cli import main

TEMPLATES = Path(__file__).parent / "templates"
build = partial(workbook.build, template_dir=TEMPLATES)

ROSTER = "student,template,keys\nAda,tiny,C major\nBen,tiny,{}\n"


def digests(folder):
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def run(*arguments):
    return CliRunner().invoke(main, list(map(str, arguments)))


@pytest.fixture(scope="module")
def stopped(tmp_path_factory):
    """The old files, the new ones, and a copy of the folder at each rename of the new build.

    The new build has one student less and one more, and other exercises for the third.
    """
    place = tmp_path_factory.mktemp("stopped")
    roster, out, copies = place / "roster.csv", place / "out", []
    roster.write_text(ROSTER.format("G major"), "utf-8")
    build(roster, out)
    shutil.copytree(out, place / "old")
    roster.write_text(ROSTER.format("F major") + "Cleo,tiny,D major\n", "utf-8")
    real = os.replace

    def snapshot():
        copies.append(place / f"copy-{len(copies):02d}" / "out")
        shutil.copytree(out, copies[-1])

    last = place / "last" / "out"

    def replace(source, final, **names):
        inside = out in Path(final).parents
        if inside:
            snapshot()
        real(source, final, **names)
        if inside:
            shutil.rmtree(last, ignore_errors=True)
            shutil.copytree(out, last)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", replace)
        build(roster, out)
    return digests(place / "old"), digests(out), [*copies, last]


def test_a_stop_at_any_rename_leaves_all_old_or_all_new(stopped, tmp_path):
    old, new, copies = stopped
    assert len(copies) > 10 and any(digests(copy) not in (old, new) for copy in copies)
    seen = []
    for number, copy in enumerate(copies):
        place = tmp_path / str(number)
        shutil.copytree(copy, place)
        if number % 4:
            result = run("print", *place.glob("*/workbook.pdf"), "--out", tmp_path / "job.pdf")
        else:
            result = run("check", place)
        assert result.exit_code == 0, (number, result.output)
        assert digests(place) in (old, new), number
        seen.append(digests(place) == new)
        pending = any(path.name.startswith(".") for path in copy.iterdir())
        assert pending == ("interrupted" in result.output), (number, result.output)
    assert seen == sorted(seen) and {*seen} == {False, True}


def table(path):
    return list(csv.reader(io.StringIO(path.read_text("utf-8-sig"))))


def typed(sheet, student, text):
    rows = table(sheet)
    next(row for row in rows if row[0] == student)[3] = text
    sheet.write_text("\r\n".join(",".join(row) for row in rows) + "\r\n", "utf-8-sig")


@pytest.mark.parametrize("command", ["check", "print", "build"])
def test_marks_typed_after_the_stop_survive_the_next_command(stopped, tmp_path, command):
    """Ada's workbook is in both builds, Ben's in the old one only: it has other exercises now."""
    _, _, copies = stopped
    for number, copy in enumerate(copies[:: 1 if command == "print" else 3]):
        place = tmp_path / str(number)
        shutil.copytree(copy, place)
        before = {row[0]: row[2] for row in table(place / "mark-sheet.csv")}
        typed(place / "mark-sheet.csv", "Ada", "12½")
        typed(place / "mark-sheet.csv", "Ben", "7")
        if command == "check":
            result = run("check", place)
        elif command == "print":
            result = run("print", place / "Ada" / "workbook.pdf", "--out", tmp_path / "job.pdf")
        else:
            roster = place.parent / "roster.csv"
            roster.write_text(ROSTER.format("F major") + "Cleo,tiny,D major\n", "utf-8")
            result = run("build", roster, "--out", place, "--template-dir", TEMPLATES)
        assert result.exit_code == 0, (number, result.output)
        sheets = {path: table(path) for path in place.glob("mark-sheet*.csv")}
        current = {row[0]: row for row in sheets[place / "mark-sheet.csv"]}
        assert current["Ada"][3] == "12½"
        kept = [row for rows in sheets.values() for row in rows if row[2] == before["Ben"]]
        assert "7" in [row[3] for row in kept]
        if current["Ben"][2] != before["Ben"]:
            assert "mark-sheet-before.csv" in result.output
        assert number % 4 or run("check", place).exit_code == 0


def test_marks_typed_while_a_build_writes_are_in_the_new_sheet(tmp_path, monkeypatch):
    from workbook.builds import together

    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(ROSTER.format("G major"), "utf-8")
    build(roster, out)
    roster.write_text(ROSTER.format("G major") + "Cleo,tiny,D major\n", "utf-8")
    real = together.write_mark_sheet

    def late(*arguments):
        notice = real(*arguments)
        typed(out / "mark-sheet.csv", "Ada", "5")
        return notice

    monkeypatch.setattr(together, "write_mark_sheet", late)
    told = []
    build(roster, out, notice=told.append)
    rows = {row[0]: row for row in table(out / "mark-sheet.csv")}
    assert rows["Ada"][3] == "5" and "Cleo" in rows
    assert any("in the new mark sheet" in sentence for sentence in told)


SLOW = """
import os, sys, time
real = os.replace
def slow(source, final):
    real(source, final)
    if sys.argv[3] in str(final):
        time.sleep(0.2)
os.replace = slow
from workbook.cli import main
main(["build", sys.argv[1], "--out", sys.argv[3], "--seed", sys.argv[2], *sys.argv[4:]])
"""


def slowly(roster, seed, out):
    """A build in a process of its own, with slow renames."""
    words = [str(roster), seed, str(out), "--template-dir", str(TEMPLATES)]
    return subprocess.Popen([sys.executable, "-c", SLOW, *words])


def test_two_builds_at_once_never_mix(tmp_path):
    """With slow renames, both commands end well, and the files are those of one of them."""
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(ROSTER.format("G major"), "utf-8")
    alone = {}
    for seed in ("one", "two"):
        build(roster, tmp_path / seed, seed=seed)
        alone[seed] = digests(tmp_path / seed)
    build(roster, out, seed="three")
    both = [slowly(roster, seed, out) for seed in ("one", "two")]
    assert [process.wait(120) for process in both] == [0, 0]
    assert digests(out) in alone.values()


def test_a_build_in_use_gives_exit_code_5(tmp_path, monkeypatch):
    from workbook.builds import publish

    monkeypatch.setattr(publish, "WAIT", 0.1)
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(ROSTER.format("G major"), "utf-8")
    with publish.staging(out):
        result = run("build", roster, "--out", out, "--template-dir", TEMPLATES)
    assert result.exit_code == 5
    assert result.output == (
        f"another command is writing into {out}; wait until it has finished, then run this "
        "command again\n"
    )


@pytest.mark.skipif(os.name != "posix", reason="no such signal")
def test_a_real_kill(tmp_path):
    """SIGKILL between two renames, in a process whose number means nothing afterwards."""
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(ROSTER.format("G major"), "utf-8")
    build(roster, out, seed="old")
    old = digests(out)
    process = slowly(roster, "new", out)
    while not list(out.glob(".building-*/journal.json")):
        time.sleep(0.02)
        assert process.poll() is None
    time.sleep(0.7)
    process.kill()
    process.wait()
    assert digests(out) != old
    assert run("check", out).exit_code == 0
    build(roster, tmp_path / "new", seed="new")
    assert digests(out) == digests(tmp_path / "new")


def test_a_folder_with_the_name_of_a_file_is_told_before_engraving(tmp_path, monkeypatch):
    from workbook.builds import workbooks

    def none(*_, **__):
        raise AssertionError("engraved")

    monkeypatch.setattr(workbooks, "engrave", none)
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(ROSTER.format("G major"), "utf-8")
    (out / "Ada" / "workbook.pdf" / "mine").mkdir(parents=True)
    (tmp_path / "elsewhere").mkdir()
    (out / "Ben").symlink_to(tmp_path / "elsewhere")
    result = run("build", roster, "--out", out, "--template-dir", TEMPLATES)
    assert result.exit_code == 5 and not any((tmp_path / "elsewhere").iterdir())
    assert f"{out / 'Ada' / 'workbook.pdf'} is a folder, but a file" in result.output
    assert f"{out / 'Ben'} is a link to a place outside {out}" in result.output
    assert (out / "Ada" / "workbook.pdf" / "mine").is_dir()


@pytest.mark.parametrize(
    "arguments",
    [
        ("templates", "copy", "level-01", "{}/job.toml"),
        ("preview", "intervals", "--key", "C major", "--out", "{}/job.pdf"),
        ("study", "C major", "--level", "1", "--out", "{}"),
    ],
)
def test_every_command_that_writes_finishes_what_is_pending(stopped, tmp_path, arguments):
    _, new, copies = stopped
    place = tmp_path / "out"
    shutil.copytree(copies[len(copies) // 2], place)
    result = run(*(word.format(place) for word in arguments))
    assert result.exit_code == 0 and "had been interrupted" in result.output
    assert {name: digest for name, digest in digests(place).items() if name in new} == new
