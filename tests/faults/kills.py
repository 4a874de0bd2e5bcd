"""Builds that replace older ones: what a folder may hold after one was killed.

A ``Studio`` has two builds of one folder, ``OLD`` and ``NEW``, which share two students and
differ in everything else. Whatever happens, who reads the folder with a command must find
one of them whole, and every mark that was ever typed in some mark sheet.
"""

from __future__ import annotations

import itertools
import shutil
import subprocess
import sys
import time
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from threading import Lock

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
        if not any(part.startswith(".") for part in path.relative_to(out).parts) and path.is_file()
        for name in [path.relative_to(out).as_posix()]
    }


def marked(out: Path, words: str) -> bool:
    """Whether a mark sheet that a teacher sees has ``words``."""
    return any(words in sheet.read_text("utf-8-sig") for sheet in out.glob(SHEETS))


def type_mark(out: Path, words: str, row: int) -> None:
    """Type a mark into a row of the mark sheet, from 1, as a spreadsheet program saves it."""
    sheet = out / "mark-sheet.csv"
    lines = sheet.read_bytes().decode("utf-8-sig").split("\r\n")
    cells = lines[row].split(",")
    cells[3] = words
    lines[row] = ",".join(cells)
    sheet.write_bytes("\r\n".join(lines).encode("utf-8-sig"))


class Studio:
    """A folder with the old build, and what it holds after whole builds over that.

    ``renames`` and ``changes`` count those of the new build over the old, which takes
    ``seconds``. Threads may share a studio.
    """

    def __init__(self, place: Path):
        self._place, self._lock = place, Lock()
        start = place / "old"
        (start / "mine").mkdir(parents=True)
        (start / "mine" / "tiny.toml").write_bytes(TINY)
        (start / "old.csv").write_text(OLD)
        (start / "new.csv").write_text(NEW)
        assert run(build("old"), start).returncode == 0
        type_mark(start / "out", MARK, 1)
        self._made = {("old",): start}
        began = time.monotonic()
        new = self._after(("old", "new"))
        self.seconds = time.monotonic() - began
        counts = new.with_name(f"{new.name}.log").read_text().split()
        self.renames, self.changes = map(int, counts)

    def copy(self, folder: Path) -> Path:
        """The old build in a folder of its own."""
        shutil.copytree(self._made["old",], folder)
        return folder

    def _after(self, names: tuple[str, ...]) -> Path:
        with self._lock:
            for end in range(2, len(names) + 1):
                if names[:end] not in self._made:
                    folder = self._place / "-".join(names[:end])
                    shutil.copytree(self._made[names[: end - 1]], folder)
                    done = disturbed(folder, "count", "all", 0, build(names[end - 1]))
                    assert done.returncode == 0, done.stdout
                    self._made[names[:end]] = folder
            return self._made[names]

    def shown(self, names: tuple[str, ...]) -> dict[str, str]:
        """What the folder shows after the builds ``names``, each over the one before."""
        return shown(self._after(names) / "out")

    def state(self, out: Path) -> tuple[str, ...] | None:
        """The builds after which a folder looks like this; None if it holds a mixture."""
        seen = shown(out)
        return next((names for names in _STATES if self.shown(names) == seen), None)

    def printed(self, job: bytes) -> str | None:
        """The build whose workbooks are printed in ``job``; None if they are of several."""
        for names in _STATES[:2]:
            folder = self._after(names)
            wanted = self._place / f"{'-'.join(names)}.pdf"
            with self._lock:
                if not wanted.exists():
                    assert run((*PRINT[:-1], str(wanted)), folder).returncode == 0
            if wanted.read_bytes() == job:
                return names[-1]
        return None


_STATES = tuple(
    ("old", *later)
    for count in range(4)
    for later in itertools.product(("new", "old"), repeat=count)
)
