"""The command: it shows a link, finds a desk that is open, and ends with its terminal."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request

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
        assert again.returncode == 0 and "open already" in again.stdout
        other = again.stdout.split()[-1]
        assert other != link and other.split("/open")[0] == link.split("/open")[0]
        with urllib.request.build_opener(urllib.request.HTTPCookieProcessor()).open(other) as page:
            assert b"Pippa Marrowby" in page.read()
        start = time.perf_counter()
        first.send_signal(getattr(signal, how))
        first.wait(20)
        assert time.perf_counter() - start < 10


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
