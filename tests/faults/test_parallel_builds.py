"""Builds into one folder at the same time, with slow renames: they take turns, or one says that
it does not. Whoever reads meanwhile finds a whole build.
"""

from __future__ import annotations

import os
import time
from collections import Counter
from random import Random

import pytest
from kills import CHECK, MARK, PRINT, begun, build, marked, run

from workbook.errors import ExitCode

pytestmark = pytest.mark.skipif(os.name != "posix", reason="renames are slowed by audit events")
_BUILDS = {"old": build("old"), "new": build("new")}
_COMMANDS = {**_BUILDS, "check": CHECK, "print": PRINT}
_ROUNDS = 30


@pytest.mark.parametrize(
    "rounds",
    [range(13, 14), pytest.param(range(_ROUNDS), marks=pytest.mark.faults)],
    ids=["sample", "all"],
)
def test_parallel_builds(rounds, two_builds, place, figures):
    place.mkdir()
    wrong: list[str] = []
    done: Counter[tuple[str, int]] = Counter()
    for number in rounds:
        rng = Random(f"parallel {number}")
        names = [
            "new",
            rng.choice(list(_BUILDS)),
            *rng.choices(list(_COMMANDS), k=rng.randint(0, 1)),
        ]
        folder = two_builds.copy(place / str(number))
        for name, code, told in _round(rng, names, folder):
            done[name, code] += 1
            wrong += [f"round {number} {names}: {line}" for line in _faults(name, code, told)]
        wrong += [f"round {number} {names}: {line}" for line in _left(two_builds, folder)]
        job = folder / "job.pdf"
        if job.exists() and not two_builds.printed(job.read_bytes()):
            wrong.append(f"round {number} {names}: the print job is a mixture")
    figures("command", "exit code", "times")
    for (name, code), count in sorted(done.items()):
        figures(name, code, count)
    figures("faults", "", len(wrong))
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)


def _round(rng, names, folder):
    """Each command's name, exit code and words, begun one soon after the other."""
    running = []
    for name in names:
        slow = rng.choice((0.005, 0.02, 0.05))
        running.append((name, begun(folder, slow, _COMMANDS[name])))
        time.sleep(rng.random() * rng.choice((0.01, 1.0)))
    for name, process in running:
        told, _ = process.communicate(timeout=180)
        yield name, process.returncode, told


def _faults(name, code, told):
    if name in ("check", "print") and code == ExitCode.FAILED and "run the command again" in told:
        return  # the files were changed while they were read, and that is said
    if code not in (0, ExitCode.NOT_WRITTEN) or "Traceback" in told:
        yield f"{name} ends with {code}: {told[-300:]}"
    elif code and "out" not in told:
        yield f"{name} does not say which folder: {told[-300:]}"


def _left(studio, folder):
    out = folder / "out"
    if studio.state(out) is None:
        yield "the folder holds a mixture"
    if not marked(out, MARK):
        yield "the mark is in no mark sheet"
    checked = run(CHECK, folder)
    if checked.returncode:
        yield f"the check: {checked.stdout[-300:]}"
    if left := [path.name for path in out.rglob(".building*")]:
        yield f"left behind: {', '.join(left)}"
