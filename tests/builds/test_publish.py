"""Files into place: all or none, whatever happens, and whenever."""

import os
import signal
import subprocess
import sys
import time

import pytest

from workbook.builds import publish
from workbook.builds.publish import staging

OLD = {"a/1": "old", "a/2": "old", "b/1": "old", "other": "old"}
NEW = {"a/1": "new", "a/2": "new", "b/1": "new", "c/1": "new"}


def fill(place, files):
    for name, text in files.items():
        path = place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


def held(place):
    return {
        path.relative_to(place).as_posix(): path.read_text()
        for path in place.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def target(tmp_path):
    fill(tmp_path / "out", OLD)
    return tmp_path / "out"


def moves(monkeypatch, stumble):
    """Calls ``stumble(number, before)`` around every move of a file."""
    real, calls = publish.os.replace, []

    def replace(source, final):
        calls.append(final)
        number = len(calls)
        stumble(number, True)
        real(source, final)
        stumble(number, False)

    monkeypatch.setattr(publish.os, "replace", replace)
    return calls


def test_new_files_come_in_and_others_stay(target):
    with staging(target) as new:
        fill(new, NEW)
        assert held(target)["a/1"] == "old"
    assert held(target) == {**OLD, **NEW}


@pytest.mark.parametrize("before", [True, False])
@pytest.mark.parametrize("at", range(1, 8))
def test_a_move_that_fails_anywhere_is_undone(target, monkeypatch, at, before):
    def stumble(number, early):
        if (number, early) == (at, before):
            raise RuntimeError("stumbled")

    calls = moves(monkeypatch, stumble)
    with pytest.raises(RuntimeError), staging(target) as new:
        fill(new, NEW)
    assert len(calls) >= at
    assert held(target) == OLD


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("at", range(1, 9))
def test_a_signal_waits_until_the_files_are_in_place(target, monkeypatch, at, number):
    def stumble(count, early):
        if (count, early) == (at, False):
            signal.raise_signal(number)
            signal.raise_signal(number)

    before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    moves(monkeypatch, stumble)
    try:
        with pytest.raises((KeyboardInterrupt, SystemExit)), staging(target) as new:
            fill(new, NEW)
    finally:
        signal.signal(signal.SIGTERM, before)
    assert held(target) == {**OLD, **NEW}


KILLED = """
import os, sys
from pathlib import Path
from workbook.builds import publish
real, calls = os.replace, []
def replace(source, final):
    calls.append(final)
    if len(calls) == int(sys.argv[2]):
        os.kill(os.getpid(), 9)
    real(source, final)
publish.os.replace = replace
with publish.staging(Path(sys.argv[1])) as new:
    for name in sys.argv[3:]:
        (new / name).parent.mkdir(parents=True, exist_ok=True)
        (new / name).write_text("new")
"""


@pytest.mark.skipif(os.name != "posix", reason="needs to know which processes run")
@pytest.mark.parametrize("at", [1, 2, 3, 4, 5, 7, 8])
def test_the_next_build_puts_back_what_a_killed_one_moved_away(target, at):
    ended = subprocess.run([sys.executable, "-c", KILLED, str(target), str(at), *NEW])
    assert ended.returncode == -signal.SIGKILL
    with staging(target) as new:
        fill(new, {"b/2": "newer"})
    kept = held(target)
    # what had no old file may have come
    assert {name: kept[name] for name in OLD} == OLD and kept["b/2"] == "newer"
    assert not list(target.glob(".building-*"))


def test_what_another_process_is_writing_is_left_to_it(target):
    busy = target / f".building-{os.getppid()}-x"
    fill(busy, {"old/a/1": "theirs"})
    with staging(target) as new:
        fill(new, NEW)
    assert (busy / "old/a/1").read_text() == "theirs"


def test_a_command_whose_terminal_is_closed_leaves_nothing(tmp_path):
    if not hasattr(signal, "SIGHUP"):
        pytest.skip("no such signal here")
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(
        "student,template,keys\n" + "".join(f"S{n},advanced,all\n" for n in range(12)), "utf-8"
    )
    out.mkdir()
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from workbook.cli import main; main()",
            "build",
            str(roster),
            "--out",
            str(out),
        ],
        stdout=subprocess.DEVNULL,
    )
    deadline = time.monotonic() + 120
    while not any(out.iterdir()) and time.monotonic() < deadline:
        time.sleep(0.05)
    process.send_signal(signal.SIGHUP)
    assert process.wait(60) == 129
    assert not any(out.iterdir())
