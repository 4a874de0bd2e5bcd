"""LilyPond, the program: where it is, which version, how it is run. Nothing else knows.

In: source text. Out: for each of its books the PDF's bytes and what the run printed.
See the LilyPond usage manual, "Command-line usage".
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from workbook.errors import EngraverMissing, EngravingError

BOOK_END = '#(begin (display "@BOOK") (newline) (force-output))'
"""Goes after each book of a source, and tells that its PDF is written."""
SETTING = "WORKBOOK_LILYPOND"
"""The environment variable that names a LilyPond program to use."""
OLDEST = (2, 24, 0)
_INSTALL = {
    "darwin": "brew install lilypond",
    "linux": "sudo apt install lilypond",
    "win32": "winget install LilyPond.LilyPond",
}


_RUNNING: set[subprocess.Popen] = set()
_ENDED: set[int] = set()


class Ended(Exception):
    """The run was ended by ``end_runs``."""


def end_runs() -> None:
    """End every run under way in this process; each raises Ended where it was called."""
    for process in tuple(_RUNNING):
        _ENDED.add(process.pid)
        process.kill()


@dataclass(frozen=True)
class Run:
    """What a run made of one book: the PDF and the lines it printed on standard output."""

    pdf: bytes
    lines: tuple[str, ...]


def find() -> Path:
    """The program: the one that the setting names, the wheel's, or one on PATH.

    Raises EngraverMissing with the command that installs it.
    """
    named = os.environ.get(SETTING)
    if named:
        found = shutil.which(named)
        if not found:
            raise EngraverMissing(
                f"{SETTING} names {named}, which is not a program that can "
                "be run; give the path of the lilypond program"
            )
        return Path(found)
    try:
        import lilypond
    except ImportError:
        pass
    else:
        wheel = Path(lilypond.executable())
        if wheel.is_file():
            return wheel
    found = shutil.which("lilypond")
    if found:
        return Path(found)
    command = _INSTALL.get(sys.platform, "see your system's package manager")
    raise EngraverMissing(
        "LilyPond, which draws the music, is not on this computer.\n"
        f"Install it with: {command}\n"
        f"or set {SETTING} to the path of the lilypond program."
    )


@cache
def version(program: Path) -> str:
    """The program's version, such as ``"2.25.12"``.

    Raises EngraverMissing when it does not run or is older than ``OLDEST``.
    """
    try:
        told = subprocess.run(
            [program, "--version"], capture_output=True, text=True, timeout=60
        ).stdout
    except (OSError, subprocess.TimeoutExpired) as error:
        raise EngraverMissing(f"{program} does not run: {error}") from None
    match = re.search(r"\b(\d+)\.(\d+)\.(\d+)\b", told)
    if not match or tuple(map(int, match.groups())) < OLDEST:
        wanted = ".".join(map(str, OLDEST))
        raise EngraverMissing(
            f"{program} is {told.splitlines()[0] if told else 'no LilyPond'}; "
            f"version {wanted} or newer is needed"
        )
    return match[0]


def run(
    source: str | Callable[[], str],
    seconds: float = 600,
    each_line: Callable[[str], None] = lambda line: None,
) -> Iterator[Run]:
    """Engrave ``source`` in a folder of its own, which is gone afterwards; yields each book
    as soon as it is written, while LilyPond goes on with the next.

    A function is called for the source while LilyPond starts. ``each_line`` is called with
    every line of the report as it is printed. Raises EngraverMissing, Ended, or
    EngravingError with LilyPond's own message, also when the run takes longer than
    ``seconds``: then nothing of it is to be used.
    """
    program = find()
    version(program)
    with tempfile.TemporaryDirectory(prefix="workbook-") as name:
        folder = Path(name)
        with (folder / "errors.txt").open("wb") as errors:
            process = subprocess.Popen(
                [
                    program,
                    "--loglevel=ERROR",
                    "-dbackend=cairo",
                    "--pdf",
                    "-dno-point-and-click",
                    "-o",
                    "music",
                    "-",
                ],
                cwd=folder,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=errors,
                text=True,
                encoding="utf-8",
                errors="replace",
            )
        _RUNNING.add(process)
        late = threading.Timer(seconds, process.kill)
        late.start()
        lines, pdf = [], folder / "music.pdf"
        books = 0
        try:
            _feed(process, source if isinstance(source, str) else source())
            for line in process.stdout:
                line = line.rstrip("\n")
                if line == "@BOOK" and pdf.is_file():
                    yield Run(pdf.read_bytes(), tuple(lines))
                    lines, books = [], books + 1
                    pdf = folder / f"music-{books}.pdf"
                else:
                    lines.append(line)
                    each_line(line)
            process.wait()
        except BaseException:
            process.kill()
            process.wait()
            raise
        finally:
            timed_out = late.finished.is_set()
            late.cancel()
            late.join()  # a copy of this process may be made next, which no thread may see
            process.stdout.close()
            _RUNNING.discard(process)
        if process.pid in _ENDED:
            _ENDED.discard(process.pid)
            raise Ended
        if timed_out:
            raise EngravingError(f"LilyPond did not finish within {seconds:g} seconds")
        if process.returncode or not books:
            said = (folder / "errors.txt").read_text("utf-8", "replace").strip()
            raise EngravingError("LilyPond could not draw the music:\n" + said[-2000:])


def _feed(process: subprocess.Popen, source: str) -> None:
    try:
        with process.stdin:
            process.stdin.write(source)
    except BrokenPipeError:
        pass  # it ended early, and has said why
