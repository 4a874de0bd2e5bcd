"""The whole command where something is missing: a locale, a home, a folder, room to print."""

import os
import pwd
import signal
import subprocess
import sys

import pytest

from workbook.cli import entry
from workbook.engraving import cache as caches
from workbook.preflight import objects
from workbook.typesetting.fonts import system

pytestmark = pytest.mark.skipif(os.name != "posix", reason="POSIX only")

PREVIEW = ("preview", "intervals", "--key", "C major", "--out")


def command(*arguments, env=None, **more):
    return subprocess.run(
        [sys.executable, "-m", "workbook", *map(str, arguments)],
        env={**os.environ, "PYTHONUNBUFFERED": "", **(env or {})},  # as a teacher has it
        stderr=subprocess.PIPE,
        timeout=120,
        check=False,
        **more,
    )


@pytest.mark.parametrize("locale", ["C", pytest.param("POSIX", marks=pytest.mark.sweep)])
def test_names_outside_the_locale(tmp_path, locale):
    """C is POSIX by another name (POSIX.1-2017, Base Definitions, 7.2)."""
    name = tmp_path / "Zoë Ωμέγα" / "try.pdf"
    done = command(
        *PREVIEW, name, env={"LC_ALL": locale, "PYTHONUTF8": "0"}, stdout=subprocess.PIPE
    )
    assert done.returncode == 0, done.stderr
    assert name.exists() and "Ωμέγα".encode() in done.stdout


CALLS = """
import workbook

def row(name):
    return {"student": name, "template": "first-steps", "keys": "C major"}

calls = {
    "student": lambda: workbook.build([row("Zoë")], "out"),
    "folder": lambda: workbook.build([row("Ada")], "Ωut"),
    "NUL": lambda: workbook.build([row("Ada")], "out\\0"),
    "surrogate": lambda: workbook.build([row("Ada")], "out\\ud800"),
    "roster": lambda: workbook.build("Ωrder.csv", "out"),
    "templates": lambda: workbook.build([row("Ada")], "out", template_dir="tΩ"),
    "fingering": lambda: workbook.build([row("Ada")], "out", fingering="fΩ"),
    "study": lambda: workbook.study_pages("C major", "first-steps", "Ωut"),
    "print": lambda: workbook.print_job(["Ω.pdf"], "a.pdf"),
    "job": lambda: workbook.print_job([__file__], "Ω.pdf"),
    "check": lambda: list(workbook.check("Ω")),
}
for name, call in calls.items():
    try:
        call()
    except workbook.WorkbookError as error:
        print(name, ascii(str(error)))
"""


def test_names_outside_the_locale_of_a_program(tmp_path):
    """Our command starts in UTF-8; a program that calls us has the encoding of its locale."""
    (tmp_path / "calls.py").write_text(CALLS, "utf-8")
    done = subprocess.run(
        [sys.executable, "calls.py"],
        cwd=tmp_path,
        env={
            **os.environ,
            "LC_ALL": "C",
            "PYTHONUTF8": "0",
            "PYTHONPATH": os.pathsep.join(filter(None, map(os.path.abspath, sys.path))),
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert not done.stderr and done.returncode == 0, done.stderr
    told = dict(line.split(" ", 1) for line in done.stdout.splitlines())
    assert len(told) == CALLS.count("lambda"), done.stdout
    assert "NUL character; remove it" in told.pop("NUL")
    for name, words in told.items():
        assert "set PYTHONUTF8=1" in words, (name, words)
    assert [path.name for path in tmp_path.iterdir()] == ["calls.py"]


def test_a_name_in_no_encoding(tmp_path):
    done = command(
        "build", os.fsdecode(b"no-such-\xff.csv"), "--out", tmp_path, stdout=subprocess.PIPE
    )
    assert done.returncode == 2 and b"Traceback" not in done.stderr
    copy = os.fsdecode(bytes(tmp_path) + b"/new-\xff.toml")
    strict = {"PYTHONIOENCODING": "utf-8:strict"}  # as in any locale but C
    done = command("templates", "copy", "review", copy, env=strict, stdout=subprocess.PIPE)
    assert done.returncode == 0 and b"toml is yours to edit" in done.stdout, done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="there is no /dev/full")  # noqa: PTH110
def test_a_full_screen_does_not_undo_the_work(tmp_path):
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = command(*PREVIEW, tmp_path / "a.pdf", stdout=full)
    assert done.returncode == 1 and (tmp_path / "a.pdf").exists()
    assert done.stderr.decode().splitlines() == [
        "The output of the command could not be printed: the disk is full"
    ]


@pytest.mark.parametrize("arguments", [["cache"], ["demo"], ["demo", "--out", "{}/out"]])
def test_a_working_folder_that_is_deleted(arguments, tmp_path):
    gone = tmp_path / "gone"
    gone.mkdir()
    words = " ".join([sys.executable, "-m", "workbook", *arguments]).format(tmp_path)
    done = subprocess.run(
        ["/bin/sh", "-c", f"rmdir ../gone; exec {words}"],
        cwd=gone,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join(filter(None, map(os.path.abspath, sys.path))),
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 2 and "no longer exists" in done.stderr
    assert "Traceback" not in done.stderr and not (tmp_path / "out").exists()


def test_nothing_is_written_into_the_home(tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    env = {"HOME": str(home), "WORKBOOK_CACHE": str(tmp_path / "cache"), "XDG_CACHE_HOME": ""}
    done = command(*PREVIEW, tmp_path / "a.pdf", env=env, stdout=subprocess.PIPE)
    assert done.returncode == 0, done.stderr
    assert not [path for path in home.rglob("*") if "abjad" in path.as_posix()]


def test_a_user_without_home_or_entry(monkeypatch):
    """As in a container that runs under a number."""

    def nobody(number):
        raise KeyError(f"getpwuid(): uid not found: {number}")

    for name in ("HOME", "XDG_CACHE_HOME", caches.SETTING):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pwd, "getpwuid", nobody)
    assert caches.folder() is None
    assert system.folders()
    assert objects._machine()


def test_ctrl_c_before_the_command_is_loaded(tmp_path):
    module = "import os, signal\nos.kill(os.getpid(), signal.SIGINT)\n"
    (tmp_path / "click.py").write_text(module)
    env = {"PYTHONPATH": os.pathsep.join([str(tmp_path), *map(os.path.abspath, sys.path)])}
    done = command("templates", "list", env=env, stdout=subprocess.PIPE)
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, b"", b"")


@pytest.mark.parametrize(
    "end, code, told", [(KeyboardInterrupt(), 1, "\nAborted!\n"), (SystemExit(129), 129, "")]
)
def test_a_signal_while_a_library_is_loaded(monkeypatch, capsys, end, code, told):
    """A library in C tells it as a fault of its own."""

    def loading():
        try:
            raise end
        except BaseException as error:
            raise ImportError("Encountered an error while initializing the extension") from error

    monkeypatch.setattr(entry, "main", loading)
    with pytest.raises(SystemExit) as caught:
        entry.run()
    assert caught.value.code == code and capsys.readouterr().err == told
    monkeypatch.setattr(entry, "main", lambda: open(os.devnull + "/x"))  # noqa: PTH123, SIM115
    with pytest.raises(OSError, match="Not a directory"):
        entry.run()
