"""The command: it shows a link, finds a desk that is open, and ends with its terminal."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from tests.weeks.test_studio import run

DESK = [sys.executable, "-m", "workbook", "desk", "--no-browser", "--studio"]


def link_of(process):
    for line in process.stdout:
        if found := re.match(r"http://127\.0\.0\.1:\d+/open\?once=\S+", line):
            return found[0]
    raise AssertionError("no link")


@pytest.mark.skipif(os.name == "nt", reason="signals of a terminal")
@pytest.mark.parametrize("how", ["SIGHUP", "SIGTERM", "SIGINT"])
def test_a_desk_is_found_again_and_ends_with_its_terminal(studio, how):
    with subprocess.Popen([*DESK, studio], stdout=subprocess.PIPE, text=True) as first:
        link = link_of(first)
        again = subprocess.run([*DESK, studio], capture_output=True, text=True, timeout=60)
        assert again.returncode == 0 and "already open" in again.stdout
        other = again.stdout.split()[-1]
        assert other != link and other.split("/open")[0] == link.split("/open")[0]
        with urllib.request.build_opener(urllib.request.HTTPCookieProcessor()).open(other) as page:
            assert b"Pippa Marrowby" in page.read()
        start = time.perf_counter()
        first.send_signal(getattr(signal, how))
        first.wait(20)
        assert time.perf_counter() - start < 10


@pytest.mark.skipif(not Path("/proc").exists(), reason="looks for processes")
def test_a_build_ends_with_a_desk_that_is_killed(studio, stuck):
    """Nothing is left of it, and the next desk opens and finds the old sheets."""
    with subprocess.Popen([*DESK, studio], stdout=subprocess.PIPE, text=True) as desk:
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        link = link_of(desk)
        opener.open(link).read()
        origin = link.split("/open")[0]
        opener.addheaders = [("Origin", origin)]
        opener.open(f"{origin}/build", b"week=2027-01-19").read()
        while not (drawing := {pid for pid in below(desk.pid) if "sleep" in name_of(pid)}):
            time.sleep(0.05)
        started = below(desk.pid)
        desk.kill()
    end = time.monotonic() + 20
    while any(map(name_of, started)):
        assert time.monotonic() < end, [name_of(pid) for pid in started]
        time.sleep(0.05)
    assert drawing <= started and not (studio / "2027-01-19").exists()
    assert not list(studio.rglob("*.part"))
    with subprocess.Popen([*DESK, studio], stdout=subprocess.PIPE, text=True) as desk:
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        assert b"Pippa Marrowby" in opener.open(link_of(desk)).read()
        desk.terminate()
        desk.wait(20)


def below(pid):
    """The processes that a process started, and those started by them."""
    found = [pid]
    for one in found:
        with contextlib.suppress(OSError):
            for task in Path(f"/proc/{one}/task").iterdir():
                found += map(int, (task / "children").read_text().split())
    return {*found[1:]}


def name_of(pid):
    """The name of a process; "" if it has ended."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return ""
    return "" if state.rpartition(")")[2].split()[0] == "Z" else state


def test_a_port_in_use_is_told(studio, raw):
    told = run(
        "desk", "--no-browser", "--studio", studio.parent / "none", "--port", raw.door.port, code=1
    )
    assert f"Port {raw.door.port} cannot be used" in told


def test_missing_packages_are_told(studio, monkeypatch):
    from workbook.cli import desk

    monkeypatch.setattr(desk, "find_spec", lambda name: None)
    told = run("desk", "--studio", studio, code=1)
    assert "pip install 'workbook[desk]'" in told
