"""Builds that replace older ones: what a folder may hold after one was killed.

A ``Studio`` has two builds of one folder, ``OLD`` and ``NEW``, which share two students and
differ in everything else. Whatever happens, who reads the folder with a command must find
one of them whole, and every mark that was ever typed in some mark sheet.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from bad_tables import TINY
from limits import COMMAND, environment

DISTURBED = Path(__file__).with_name("disturbed.py")
OLD = "student,template,keys\nAda Lee,tiny,C major\nBo Wren,tiny,F major\nCy Old,tiny,G major\n"
NEW = "student,template,keys\nAda Lee,tiny,C major\nBo Wren,tiny,F major\nDi New,tiny,D major\n"
SHARED = ("Ada-Lee", "Bo-Wren")
SHEETS = "mark-sheet*.csv"
MARK = "1.625"
"""A mark of the old build."""
_MINE = ("--template-dir", "mine")


def build(name: str) -> tuple[str, ...]:
    """The words of the command that builds ``old`` or ``new``."""
    return ("build", f"{name}.csv", "--out", "out", "--seed", name, *_MINE)


CHECK = ("check", "out")
PRINT = ("print", *(f"out/{one}/workbook.pdf" for one in SHARED), "--out", "job.pdf")


def run(words: Sequence[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    return _run([*COMMAND, *words], folder)


def disturbed(
    folder: Path, what: str, which: str, at: float, words: Sequence[str]
) -> subprocess.CompletedProcess[str]:
    """Run a command that is disturbed (see ``disturbed.py``)."""
    log = folder.with_name(f"{folder.name}.log")
    start = [sys.executable, str(DISTURBED), str(folder), str(log), what, which, str(at), "--"]
    return _run([*start, *words], folder)


def begun(folder: Path, seconds: float, words: Sequence[str]) -> subprocess.Popen[str]:
    """Start a command of which every rename takes ``seconds`` longer."""
    start = [sys.executable, str(DISTURBED), str(folder), "", "slow", "renames", str(seconds)]
    return subprocess.Popen(
        [*start, "--", *words],
        cwd=folder,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def _run(words: Sequence[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words,
        cwd=folder,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=120,
    )


def shown(out: Path) -> dict[str, str]:
    """What a teacher sees in a folder: the digest of every file that is not hidden."""
    return {
        name: sha256(path.read_bytes()).hexdigest()
        for path in sorted(out.rglob("*"))
        if not any(part.startswith(".") for part in path.relative_to(out).parts)
        and path.is_file()
        for name in [path.relative_to(out).as_posix()]
    }


def marked(out: Path, words: str) -> bool:
    """Whether a mark sheet that a teacher sees has ``words``."""
    return any(words in sheet.read_text("utf-8-sig") for sheet in out.glob(SHEETS))


def type_mark(out: Path, words: str) -> None:
    """Type a mark into the first row of the mark sheet, as a spreadsheet program saves it."""
    sheet = out / "mark-sheet.csv"
    lines = sheet.read_bytes().decode("utf-8-sig").split("\r\n")
    cells = lines[1].split(",")
    cells[3] = words
    lines[1] = ",".join(cells)
    sheet.write_bytes("\r\n".join(lines).encode("utf-8-sig"))


@dataclass(frozen=True)
class Studio:
    """A folder with the old build, and what the folder holds after whole commands.

    ``states`` has it by the builds that were made one over the other, ``jobs`` the print job
    of each state. ``renames`` and ``changes`` count those of the new build over the old.
    """

    start: Path
    states: Mapping[tuple[str, ...], Mapping[str, str]]
    jobs: Mapping[tuple[str, ...], bytes]
    renames: int
    changes: int
    seconds: float

    def copy(self, folder: Path) -> Path:
        """The old build in a folder of its own."""
        shutil.copytree(self.start, folder)
        return folder

    def state(self, out: Path) -> tuple[str, ...] | None:
        """The whole builds that a folder holds, or None if it holds a mixture."""
        seen = shown(out)
        return next((name for name, state in self.states.items() if state == seen), None)


def studio(place: Path) -> Studio:
    """Make the builds."""
    import time

    start = place / "start"
    (start / "mine").mkdir(parents=True)
    (start / "mine" / "tiny.toml").write_bytes(TINY)
    (start / "old.csv").write_text(OLD)
    (start / "new.csv").write_text(NEW)
    (start / "bad.csv").write_text("student,template,keys\nAda Lee,tiny,H major\n")
    assert run(build("old"), start).returncode == 0
    type_mark(start / "out", MARK)
    states, jobs = {}, {}
    for names in (("old",), ("old", "new"), ("old", "old"), ("old", "new", "old")):
        folder = place / "-".join(names)
        shutil.copytree(start, folder)
        for name in names[1:]:
            began = time.monotonic()
            assert run(build(name), folder).returncode == 0
            seconds = time.monotonic() - began
        states[names] = shown(folder / "out")
        assert run(PRINT, folder).returncode == 0
        jobs[names] = (folder / "job.pdf").read_bytes()
    counts = [_count(place, start, which) for which in ("renames", "all")]
    return Studio(start, states, jobs, *counts, seconds)


def _count(place: Path, start: Path, which: str) -> int:
    folder = place / f"counted-{which}"
    shutil.copytree(start, folder)
    assert disturbed(folder, "count", which, 0, build("new")).returncode == 0
    return int(folder.with_name(f"{folder.name}.log").read_text())
