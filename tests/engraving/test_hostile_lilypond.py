"""Programs that are not the LilyPond we hope for: each is ended in time and told in a sentence."""

import importlib
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from random import Random

import pytest
from asked import Request

from workbook.engraving import lilypond, process, shares
from workbook.engraving.cache import Cache
from workbook.engraving.engrave import engrave
from workbook.errors import EngraverMissing, EngravingError
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key

pytestmark = pytest.mark.skipif(os.name != "posix", reason="the programs are shell scripts")

VERSION = "[ \"$1\" = --version ] && echo 'GNU LilyPond 2.25.12' && exit\n"
PLENTY = 60
"""Seconds that a program which is not ended would go on."""


def exercise(key="C major"):
    kind = FAMILIES["arpeggio"]
    return kind.make(Request(parse_key(key), "right", kind.asks), Random(1))


def exercises(count):
    keys = ("C", "G", "D", "A", "E", "B", "F", "Bb", "Eb")[:count]
    return [exercise(f"{key} major") for key in keys]


@pytest.fixture
def program(tmp_path, monkeypatch):
    """Makes a shell script the LilyPond of this test."""

    def make(body, version=VERSION):
        file = tmp_path / "lp"
        file.write_text(f"#!/bin/sh\n{version}{body}\n")
        file.chmod(0o755)
        monkeypatch.setenv(lilypond.SETTING, str(file))
        lilypond.version.cache_clear()
        return file

    yield make
    lilypond.version.cache_clear()


@pytest.fixture
def quick(monkeypatch):
    monkeypatch.setattr(shares, "_SECONDS", 1.0)
    monkeypatch.setattr(shares, "_SECONDS_EACH", 0.0)


def told(count, tmp_path):
    """The message about so many exercises, and the seconds until it came."""
    started = time.monotonic()
    with pytest.raises(EngravingError) as error:
        engrave(exercises(count), cache=Cache(tmp_path / "cache"))
    text = str(error.value)
    assert "Traceback" not in text and "Error:" not in text
    return text, time.monotonic() - started


def gone(file):
    """Whether the process whose number is in ``file`` has ended."""
    number = int(file.read_text())
    for _ in range(20):
        try:
            os.kill(number, 0)
            stat = Path(f"/proc/{number}/stat")
            if stat.exists() and stat.read_text().rpartition(")")[2].split()[0] == "Z":
                return True
        except ProcessLookupError:
            return True
        time.sleep(0.1)
    return False


def test_one_bound_for_the_run_and_its_halves(program, quick, tmp_path):
    runs = tmp_path / "runs"
    program(f"echo run >> {runs}; exec sleep {PLENTY}")
    importlib.import_module("workbook.engraving.score")  # takes a second the first time
    text, seconds = told(8, tmp_path)
    assert runs.read_text().split() == ["run"]
    assert seconds < 10 and text.count("did not finish within 1 seconds") == 1


def test_halves_share_the_bound(program, quick, tmp_path, monkeypatch):
    """Each run fails after a while: the halves get what is left of the time."""
    monkeypatch.setattr(shares, "_SECONDS", 3.0)
    runs = tmp_path / "runs"
    program(f"echo run >> {runs}; sleep 0.5; exit 1")
    importlib.import_module("workbook.engraving.score")  # takes a second the first time
    text, seconds = told(8, tmp_path)
    assert 1 < len(runs.read_text().split()) < 8, "it is halved, and not to the end"
    assert seconds < 10 and text.count("did not finish within 3 seconds") == 1


def test_a_child_that_keeps_the_pipe_is_ended(program, quick, tmp_path):
    child = tmp_path / "child"
    program(f"sleep {PLENTY} & echo $! > {child}; wait")
    text, seconds = told(3, tmp_path)
    assert seconds < 4 and "did not finish" in text and gone(child)


def test_a_child_that_outlives_its_wrapper_is_ended(program, tmp_path):
    child = tmp_path / "child"
    real = lilypond.find()
    program(f'sleep {PLENTY} & echo $! > {child}; "{real}" "$@"')
    started = time.monotonic()
    assert engrave([exercise()], cache=Cache(tmp_path / "cache"))
    assert time.monotonic() - started < 10 and gone(child)


def test_a_child_in_a_session_of_its_own_stops_nothing(program, quick, tmp_path):
    child = tmp_path / "child"
    python = f"import os,time; os.setsid(); open({str(child)!r},'w').write(str(os.getpid()))"
    program(f'"{sys.executable}" -c "{python}; time.sleep({PLENTY})" & sleep {PLENTY}')
    _, seconds = told(3, tmp_path)
    assert seconds < 6
    os.kill(int(child.read_text()), signal.SIGKILL)


@pytest.mark.parametrize(
    "body",
    ["exec cat /dev/zero", "exec yes", "exec cat /dev/zero >&2", "exec yes >&2"],
    ids=["one line", "lines", "one line of errors", "errors"],
)
def test_a_flood_fills_no_memory(program, body, tmp_path):
    program(body)
    code = (
        "import re, sys\n"
        "from pathlib import Path\n"
        "from workbook.engraving import lilypond\n"
        "try:\n"
        "    list(lilypond.run('', seconds=20))\n"
        "except Exception as error:\n"
        "    print(type(error).__name__, error)\n"
        # of this program alone: rusage counts what started it, too
        "status = Path('/proc/self/status').read_text()\n"
        "print(re.search(r'VmHWM:\\s+(\\d+)', status)[1])\n"
    )
    started = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    said, peak = done.stdout.strip().splitlines()
    assert "produced endless output" in said and time.monotonic() - started < 15
    assert int(peak) < 250_000  # KB


@pytest.mark.parametrize("kind", ["empty", "garbage", "truncated", "huge", "pipe"])
def test_a_pdf_that_is_none(program, kind, tmp_path, monkeypatch, caplog):
    pdf = tmp_path / "good.pdf"
    (run,) = lilypond.run(shares.source(["\\score { c4 }"] * 3))
    pdf.write_bytes(run.pdf[: len(run.pdf) // 2])
    make = {
        "empty": ": > music.pdf",
        "garbage": "head -c 9999 /dev/urandom > music.pdf",
        "truncated": f"cp {pdf} music.pdf",
        "huge": "head -c 1000000 /dev/zero > music.pdf",
        "pipe": "mkfifo music.pdf",
    }[kind]
    monkeypatch.setattr(lilypond, "_MOST_PDF", 500_000)
    program(f"{make}; for i in 1 2 3; do echo @PAGE; done; echo @BOOK; cat > /dev/null")
    caplog.set_level("WARNING")
    text, seconds = told(3, tmp_path)
    assert seconds < 8 and len(text.splitlines()) == 1
    assert ("a PDF of more than 64 MB" in text) == (kind == "huge"), text
    assert not caplog.records  # pypdf would complain of it on the screen


def test_a_report_that_is_none(program, tmp_path):
    pdf = tmp_path / "good.pdf"
    (run,) = lilypond.run(shares.source(["\\score { c4 }"] * 3))
    pdf.write_bytes(run.pdf)
    program(
        f"cp {pdf} music.pdf; for i in 1 2 3; do echo @PAGE; echo @LINE a b c; done; "
        "echo @BOOK; cat > /dev/null"
    )
    text, _ = told(3, tmp_path)
    assert "damaged or not in its usual form" in text


def test_a_program_that_always_fails_is_told_once(program, tmp_path):
    program("echo 'no fonts here' >&2; exit 7")
    text, _ = told(9, tmp_path)
    assert text.count("no fonts here") == 1 and "9 exercises" in text and "exit code 7" in text


@pytest.mark.parametrize(
    "version",
    ["printf '\\377\\376\\200'; exit", "exit", "exec cat /dev/zero", "echo Python 3.11.7; exit"],
    ids=["undecodable", "nothing", "flood", "another program"],
)
def test_a_version_that_is_none(program, version):
    file = program("", version + "\n")
    with pytest.raises(EngraverMissing) as error:
        lilypond.version(lilypond.find())
    assert str(error.value).startswith(str(file)) and len(str(error.value).splitlines()) == 1


def test_a_version_that_never_comes(program, monkeypatch):
    monkeypatch.setattr(lilypond, "_VERSION_SECONDS", 0.5)
    program("", f"sleep {PLENTY} & wait\n")
    started = time.monotonic()
    with pytest.raises(EngraverMissing, match="did not report its version"):
        lilypond.version(lilypond.find())
    assert time.monotonic() - started < 4


def test_a_program_of_another_machine(program):
    file = program("")
    file.write_bytes(b"\x7fELF not for this machine")
    with pytest.raises(EngraverMissing) as error:
        lilypond.version(lilypond.find())
    assert "Errno" not in str(error.value)


def test_a_relative_name_means_the_file_of_this_folder(program, tmp_path, monkeypatch):
    real = lilypond.find()
    program(f'touch {tmp_path / "used"}; exec "{real}" "$@"')
    monkeypatch.setenv(lilypond.SETTING, "./lp")
    monkeypatch.chdir(tmp_path)
    assert lilypond.find() == tmp_path / "lp"
    assert engrave([exercise()], cache=Cache(tmp_path / "cache"))
    assert (tmp_path / "used").exists()


def test_a_full_folder_for_temporary_files_is_said_at_once(program, tmp_path, monkeypatch):
    """As on a full disk: the first write fails."""

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    text, seconds = told(8, tmp_path)
    assert seconds < 2 and "the disk is full" in text and "TMPDIR" in text
    assert len(text.splitlines()) == 1


def test_a_folder_for_temporary_files_that_is_missing(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "missing"))
    text, seconds = told(3, tmp_path)
    assert seconds < 2 and str(tmp_path / "missing") in text and "TMPDIR" in text


def test_ctrl_c_while_a_child_holds_the_pipe(program, tmp_path):
    child = tmp_path / "child"
    program(f"sleep {PLENTY} & echo $! > {child}; wait")
    started = subprocess.Popen(
        [sys.executable, "-m", "workbook", "preview", "arpeggio", "--key", "C major"],
        cwd=tmp_path,
        env={**os.environ, "WORKBOOK_CACHE": str(tmp_path / "cache")},
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    while not child.exists() or not child.read_text():
        assert started.poll() is None
        time.sleep(0.05)
    started.send_signal(signal.SIGINT)
    _, errors = started.communicate(timeout=10)
    assert started.returncode == 1 and "Traceback" not in errors
    assert gone(child) and not list(tmp_path.glob("*.pdf"))


def test_all_programs_of_a_process_end_at_once(tmp_path):
    with process.Process(["sleep", str(PLENTY)], time.monotonic() + PLENTY) as one:
        one.feed("")
        process.end_all()
        assert list(one.lines()) == []
    assert one.exit_code == -signal.SIGKILL


def test_no_thread_is_left(program, quick, tmp_path):
    before = threading.active_count()
    program(f"sleep {PLENTY} & wait")
    told(3, tmp_path)
    assert threading.active_count() == before
