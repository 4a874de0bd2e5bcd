"""Commands of a studio killed at any moment, run two at a time, and on a full disk."""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random

import pytest
from limits import COMMAND, WORKERS
from studio_kills import (
    BUILD,
    NEXT,
    SETTING,
    SHOW,
    around,
    begun,
    code_of,
    copied,
    disturbed,
    faults,
    record_of,
    run,
)

pytestmark = pytest.mark.skipif(os.name != "posix", reason="kills by a signal")
_OWN_MOUNTS = ("unshare", "--map-root-user", "--mount")
LINES = ("1.1", "+1.1", "1.1-", "+1.1", "1.1")
SAMPLE_OR_ALL = pytest.mark.parametrize(
    "every", [False, pytest.param(True, marks=pytest.mark.faults)], ids=["sample", "all"]
)


@pytest.fixture(scope="module")
def studio(own_cache, tmp_path_factory) -> Path:
    return begun(tmp_path_factory.mktemp("begun") / "one")


@pytest.fixture(scope="module")
def counts(studio, tmp_path_factory) -> dict[str, tuple[int, int, float]]:
    """The renames and changes of each command that sets sheets, and the seconds it takes."""
    found = {}
    for name, words in SETTING.items():
        folder = copied(studio, tmp_path_factory.mktemp("count") / name)
        began = time.monotonic()
        done = disturbed(folder, "count", "all", 0, words)
        assert done.returncode == 0, done.stdout
        renames, changes = map(int, (folder / "log").read_text().split())
        found[name] = renames, changes, time.monotonic() - began
        assert not faults(folder, code_of(folder, "Ada Lee"))
    return found


def _kills(counts) -> list[tuple[str, str, float]]:
    rng = Random("studio")
    found = [
        (name, "renames", at)
        for name in ("next", "replace")
        for at in range(1, counts[name][0] + 1)
    ]
    for name in [*("next",) * 25, *rng.choices(list(counts), k=25)]:
        found.append((name, "all", rng.randint(1, counts[name][1])))
        found.append((name, "time", rng.random() * counts[name][2]))
    return found


@pytest.mark.faults
def test_sheets_are_whole_and_in_the_record_after_any_kill(studio, counts, place, figures):
    place.mkdir()
    kills = _kills(counts)
    assert sum(name == "next" for name, _, _ in kills) >= 50
    first = code_of(studio, "Ada Lee")

    def killed(number: int) -> list[str]:
        name, which, at = kills[number]
        folder = copied(studio, place / str(number))
        if which == "time":
            _killed_in_time(folder, SETTING[name], at)
        else:
            disturbed(folder, "kill", which, at, SETTING[name])
        wrong = [f"{name} {which} {at}: {words}" for words in faults(folder, first)]
        shutil.rmtree(folder)
        return wrong

    with ThreadPoolExecutor(WORKERS) as pool:
        told = list(pool.map(killed, range(len(kills))))
    figures("killed", "cases", "faults")
    for name in SETTING:
        some = [wrong for kill, wrong in zip(kills, told) if kill[0] == name]
        figures(name, len(some), sum(map(bool, some)))
    assert not any(told), "\n".join(line for wrong in told for line in wrong)


@pytest.mark.parametrize("name", ["next", "replace"])
def test_sheets_in_place_are_entered_by_the_next_command(studio, tmp_path, name):
    folder = copied(studio, tmp_path / "killed")
    first = code_of(folder, "Ada Lee")
    with record_of(folder) as record:
        before = {sheet.code for sheet in record.sheets()}
    _killed_before_entry(folder, SETTING[name])
    with record_of(folder) as record:
        assert {sheet.code for sheet in record.sheets()} == before
    said = run(folder, SHOW).stdout
    assert "2 sheets were missing from the record; they have been added" in said
    assert not faults(folder, first, checking=False)
    assert "missing from the record" not in run(folder, SHOW).stdout
    with record_of(folder) as record:
        new = next(sheet.code for sheet in record.sheets() if sheet.code not in before)
        assert record.sheet(first).state == ("replaced" if name == "replace" else "out")
    done = run(folder, ("record", "remake", new, "--out", "again"))
    assert done.returncode and "cannot be made again" in done.stdout
    assert run(folder, ("mark", new, "--wrong", "1")).returncode == 0


def _killed_before_entry(folder: Path, words) -> None:
    """Kill a command when its sheets are in place and not yet in the record."""
    code = (
        "import os, signal, sys\n"
        "from workbook.weeks import sets\n"
        "sets.enter = lambda *rest, **more: os.kill(os.getpid(), signal.SIGKILL)\n"
        "from workbook.cli import main\n"
        "main(sys.argv[1:])\n"
    )
    done = subprocess.run(
        [COMMAND[0], "-c", code, *words],
        cwd=folder / "studio",
        env=around(folder),
        capture_output=True,
    )
    assert done.returncode == -9, done.stderr


def _killed_in_time(folder: Path, words, seconds: float) -> None:
    process = subprocess.Popen(
        [*COMMAND, *words],
        cwd=folder / "studio",
        env=around(folder),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    time.sleep(seconds)
    process.kill()
    process.wait()


@SAMPLE_OR_ALL
def test_no_acknowledged_mark_is_lost(studio, place, every):
    place.mkdir()
    rng = Random("marks")
    moments = [rng.random() * 0.4 for _ in range(50 if every else 2)]
    code = code_of(studio, "Bo Wren")

    def killed(number: int) -> str:
        folder = copied(studio, place / str(number))
        lines = 1 + number % len(LINES)
        acknowledged = _killed_while_marking(folder, code, lines, moments[number])
        done = run(folder, SHOW)
        with record_of(folder) as record:
            found = len(record.history(code))
        shutil.rmtree(folder)
        if done.returncode:
            return done.stdout
        return "" if found >= acknowledged >= lines else f"{acknowledged} told, {found} recorded"

    with ThreadPoolExecutor(WORKERS) as pool:
        told = list(pool.map(killed, range(len(moments))))
    assert not any(told), "\n".join(told)


def _killed_while_marking(folder: Path, code: str, lines: int, seconds: float) -> int:
    """Type ``lines`` wrong boxes, then the rest, and kill; the lines that were acknowledged."""
    process = subprocess.Popen(
        [*COMMAND, "mark", code],
        cwd=folder / "studio",
        env=around(folder),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdin
    assert process.stdout
    told = 0
    process.stdin.write("\n".join(LINES[:lines]) + "\n")
    process.stdin.flush()
    for line in process.stdout:
        told += "total" in line
        if told == lines:
            break
    process.stdin.write("\n".join(LINES) + "\n")
    process.stdin.flush()
    time.sleep(seconds)
    process.kill()
    rest, _ = process.communicate()
    return told + sum(" total " in line for line in rest.split("\n")[:-1])


def test_two_commands_mark_at_once(studio, tmp_path):
    folder = copied(studio, tmp_path / "two")
    codes = [code_of(folder, "Ada Lee"), code_of(folder, "Bo Wren")]
    rounds = 2
    with ThreadPoolExecutor(4) as pool:
        words = [("mark", code, "--wrong", "1") for code in codes for _ in range(rounds)]
        for done in pool.map(lambda one: run(folder, one), words):
            assert done.returncode == 0, done.stdout
    with record_of(folder) as record:
        assert len(record.history(codes[0])) == rounds + 1  # one from before
        assert len(record.history(codes[1])) == rounds


def test_two_commands_set_sheets_at_once(studio, tmp_path):
    folder = copied(studio, tmp_path / "two")
    with ThreadPoolExecutor(2) as pool:
        for done in pool.map(lambda words: run(folder, words), (BUILD, BUILD)):
            assert done.returncode == 0, done.stdout
    assert not faults(folder, code_of(folder, "Ada Lee"), checking=False)
    with record_of(folder) as record:
        assert len(record.sheets()) == 6
        assert all(record.recipe(sheet.code) for sheet in record.sheets())


@SAMPLE_OR_ALL
@pytest.mark.parametrize("words", [NEXT, ("mark", "CODE", "--wrong", "1")], ids=["next", "mark"])
def test_a_full_disk_leaves_everything_whole(studio, tmp_path, words, every):
    """On a disk with so much left when the command begins."""
    if not _may_mount():
        pytest.skip("no file system of one's own may be mounted here")
    full, after = tmp_path / "full", tmp_path / "after"
    full.mkdir()
    code = code_of(studio, "Bo Wren")
    script = (
        'set -e; mount -t tmpfs -o size=4m tmpfs "$1"; cp -a "$2/." "$1"; cd "$1/studio"\n'
        'dd if=/dev/zero of="$1/filler" bs=1k 2>/dev/null || true\n'
        'truncate -s -"$3" "$1/filler"\n'
        'set +e; shift 3; "$@"; code=$?; rm ../filler; cp -a .. "$OUT"; exit $code\n'
    )
    for free in ("0", "8k", "24k", "64k", "128k") if every else ("0", "24k"):
        shutil.rmtree(after, ignore_errors=True)
        line = [code if word == "CODE" else word for word in words]
        done = subprocess.run(
            [*_OWN_MOUNTS, "sh", "-c", script, "sh", full, studio, free, *COMMAND, *line],
            env=around(full) | {"OUT": str(after)},
            capture_output=True,
            text=True,
        )
        said = done.stdout + done.stderr
        assert "Traceback" not in said, said
        if done.returncode:
            assert "disk is full" in said, said
            assert len(said.strip().split("\n")) <= 2, said
        assert not faults(after, code_of(after, "Ada Lee"), every)


def _may_mount() -> bool:
    if not shutil.which("unshare"):
        return False
    words = [*_OWN_MOUNTS, "mount", "-t", "tmpfs", "tmpfs", "/mnt"]
    return subprocess.run(words, capture_output=True).returncode == 0
