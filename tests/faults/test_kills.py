"""A build killed at any moment: the next command finds the old build or the new one, whole.

The kills come before each rename, before other changes, and at random moments. What follows
is a check, a print job, another build, or a teacher who types marks and builds again.
"""

from __future__ import annotations

import os
import subprocess
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest
from kills import (
    CHECK,
    MARK,
    PRINT,
    Studio,
    build,
    disturbed,
    marked,
    run,
    shown,
    type_mark,
)
from limits import COMMAND, WORKERS, environment

pytestmark = pytest.mark.skipif(os.name != "posix", reason="kills by a signal")
_NEXT = ("check", "print", "build", "student", "typed", "killed again")
_TYPED = "1.875"


@dataclass(frozen=True)
class Kill:
    """When a build is killed, and what comes next.

    ``at`` is a number of ``renames`` or of ``all`` changes, or a share of the ``time``.
    """

    which: str
    at: float
    then: str


def test_some_kills(two_builds, place, figures):
    _survived(_sample(two_builds), two_builds, place, figures)


@pytest.mark.faults
@pytest.mark.parametrize("which", ["renames", "all", "time"])
def test_kills(which, two_builds, place, figures):
    kills = [kill for kill in _all(two_builds) if kill.which == which]
    _survived(kills, two_builds, place, figures)


def _survived(kills, two_builds, place, figures):
    place.mkdir()
    with ThreadPoolExecutor(WORKERS) as pool:
        told = list(
            pool.map(
                lambda pair: _killed(two_builds, place / str(pair[0]), pair[1]), enumerate(kills)
            )
        )
    figures("killed", "next", "cases", "found old", "found new", "faults")
    for which in ("renames", "all", "time"):
        for then in _NEXT:
            some = [o for kill, o in zip(kills, told) if (kill.which, kill.then) == (which, then)]
            if not some:
                continue
            found = Counter(state for state, _ in some)
            figures(
                which,
                then,
                len(some),
                found["old"],
                found["new"],
                sum(bool(wrong) for _, wrong in some),
            )
    wrong = [f"{kill}: {line}" for kill, (_, lines) in zip(kills, told) for line in lines]
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)


def _all(studio: Studio) -> list[Kill]:
    """Every rename with everything that may follow; 200 other moments."""
    rng = Random("kills")
    renames = range(1, studio.renames + 1)
    return [
        *(Kill("renames", at, then) for at in renames for then in _NEXT),
        *(Kill("all", rng.randint(1, studio.changes), rng.choice(_NEXT)) for _ in range(100)),
        *(Kill("time", rng.random(), rng.choice(_NEXT)) for _ in range(100)),
    ]


def _sample(studio: Studio) -> list[Kill]:
    nexts = ("check", "print", "typed", "build")
    return [
        Kill("renames", (at + 1) * studio.renames // (len(nexts) + 1), then)
        for at, then in enumerate(nexts)
    ]


def _killed(studio: Studio, folder: Path, kill: Kill) -> tuple[str, list[str]]:
    """Kill a build and do what is next: the build that is found, and what is wrong."""
    out = studio.copy(folder) / "out"
    if kill.which == "time":
        _killed_in_time(folder, kill.at * studio.seconds)
    else:
        disturbed(folder, "kill", kill.which, kill.at, build("new"))
    wrong = []
    if not (out / "mark-sheet.csv").exists():
        wrong.append("no mark sheet after the kill")
    if not marked(out, MARK):
        wrong.append("the mark is in no mark sheet after the kill")
    found = _followed(studio, folder, kill, wrong)
    if not marked(out, MARK):
        wrong.append("the mark is in no mark sheet at the end")
    left = [path.name for path in out.rglob(".building*")]
    if left and kill.then in ("build", "student", "typed"):
        wrong.append(f"left behind: {', '.join(left)}")
    return found, wrong


def _followed(studio: Studio, folder: Path, kill: Kill, wrong: list[str]) -> str:
    if kill.then == "killed again":
        for at in (1, 2, 3):  # of what the check finishes or takes back
            disturbed(folder, "kill", "renames", at, CHECK)
    if kill.then in ("check", "killed again"):
        return _checked(studio, folder, wrong)
    if kill.then == "print":
        return _printed(studio, folder, wrong)
    if kill.then == "typed":
        return _typed(studio, folder, wrong)
    words = build("old")
    if kill.then == "student":
        words = (*words, "--student", "Bo Wren")
    done = run(words, folder)
    if done.returncode:
        wrong.append(f"the next build: {done.returncode}: {done.stdout[-300:]}")
    return _checked(studio, folder, wrong, one=kill.then == "student")


def _checked(studio: Studio, folder: Path, wrong: list[str], one: bool = False) -> str:
    """``one``: the workbook of a student was built from the old roster over what was there."""
    done = run(CHECK, folder)
    if done.returncode:
        wrong.append(f"the check: {done.returncode}: {done.stdout[-300:]}")
    state = _one_rebuilt(studio, folder / "out") if one else studio.state(folder / "out")
    if state is None:
        wrong.append("the folder holds a mixture")
        return "a mixture"
    return "new" if "new" in state else "old"


def _one_rebuilt(studio: Studio, out: Path) -> tuple[str, ...] | None:
    seen = shown(out)
    for names in (("old",), ("old", "new")):
        state = studio.shown(names)
        for file, digest in studio.shown(("old",)).items():
            if file.startswith("Bo-Wren/"):
                state[file] = digest
        if state == seen:
            return names
    return None


def _printed(studio: Studio, folder: Path, wrong: list[str]) -> str:
    done = run(PRINT, folder)
    job = folder / "job.pdf"
    found = studio.printed(job.read_bytes()) if job.exists() else None
    if done.returncode or not found:
        wrong.append(f"the print job: {done.returncode}: {done.stdout[-300:] or 'a mixture'}")
    return found or "a mixture"


def _typed(studio: Studio, folder: Path, wrong: list[str]) -> str:
    """Marks are typed into what the kill left, and the new build is made again."""
    out = folder / "out"
    if (out / "mark-sheet.csv").exists():
        type_mark(out, _TYPED, 2)
        done = run(build("new"), folder)
        if done.returncode:
            wrong.append(f"the next build: {done.returncode}: {done.stdout[-300:]}")
        if not marked(out, _TYPED):
            wrong.append("the mark typed after the kill is in no mark sheet")
        done = run(CHECK, folder)
        if done.returncode:
            wrong.append(f"the check: {done.returncode}: {done.stdout[-300:]}")
    return "new"


def _killed_in_time(folder: Path, seconds: float) -> None:
    process = subprocess.Popen(
        [*COMMAND, *build("new")],
        cwd=folder,
        env=environment(),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    time.sleep(seconds)
    process.kill()
    process.wait()
