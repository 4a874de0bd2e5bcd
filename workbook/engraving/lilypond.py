"""The LilyPond program: where it is, which version it is, how it is run. Nothing else knows.

In: source text. Out: for each book of it the PDF's bytes and what the run printed.
See the LilyPond usage manual, "Command-line usage".
"""

from __future__ import annotations

import logging
import os
import re
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import IO, cast

from workbook.cancel import Cancel
from workbook.errors import EngraverMissing, EngravingError
from workbook.temporary import temporary

BOOK_END = '#(begin (display "@BOOK") (newline) (force-output))'
"""Goes after each book of a source; LilyPond prints @BOOK once the book's PDF is written."""
SETTING = "WORKBOOK_LILYPOND"
"""The environment variable that names the LilyPond program to use."""
OLDEST = (2, 24, 0)
"""The oldest version that will do."""
_INSTALL = {
    "darwin": "brew install lilypond",
    "linux": "sudo apt install lilypond",
    "win32": "winget install LilyPond.LilyPond",
}
_ARGUMENTS = (
    "--loglevel=ERROR",
    "-dbackend=cairo",
    "--pdf",
    "-dno-point-and-click",
    "-o",
    "music",
    "-",
)
_ERRORS = "errors.txt"

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Run:
    """What a run made of one book: the PDF, and the lines printed on standard output."""

    pdf: bytes
    lines: tuple[str, ...]


def find() -> Path:
    """The program: the one that SETTING names, the one in the wheel, or one on PATH.

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

    Raises EngraverMissing if it does not run or is older than ``OLDEST``.
    """
    try:
        output = subprocess.run(  # noqa: S603 - the program that the user named or installed
            [program, "--version"], capture_output=True, text=True, timeout=60, check=False
        ).stdout
    except (OSError, subprocess.TimeoutExpired) as error:
        raise EngraverMissing(f"{program} does not run: {error}") from None
    match = re.search(r"\b(\d+)\.(\d+)\.(\d+)\b", output)
    if not match or tuple(map(int, match.groups())) < OLDEST:
        wanted = ".".join(map(str, OLDEST))
        raise EngraverMissing(
            f"{program} is {output.splitlines()[0] if output else 'not LilyPond'}; "
            f"version {wanted} or newer is needed"
        )
    _log.debug("LilyPond %s at %s", match[0], program)
    return match[0]


def run(
    source: str | Callable[[], str],
    seconds: float = 600,
    each_line: Callable[[str], None] = lambda _line: None,
    cancel: Cancel | None = None,
) -> Iterator[Run]:
    """Engrave ``source`` in a temporary folder of its own. Yields each book as soon as it is
    written, while LilyPond goes on with the next.

    If ``source`` is a function, it is called while LilyPond starts. ``each_line`` is called
    with every line of the report as it is printed. Raises EngraverMissing; Cancelled when
    ``cancel`` is cancelled, which ends the process; and EngravingError with LilyPond's own
    message, also when the run takes longer than ``seconds``. After an error nothing that
    was yielded is to be used.
    """
    program = find()
    version(program)
    cancel = cancel or Cancel()
    cancel.check()
    with temporary() as folder:
        process = _start(program, folder)
        with cancel.on_cancel(process.kill):
            yield from _books(process, source, folder, seconds, each_line, cancel)


def _start(program: Path, folder: Path) -> subprocess.Popen[str]:
    with (folder / _ERRORS).open("wb") as errors:
        return subprocess.Popen(  # noqa: S603 - see above; the arguments are constant
            [program, *_ARGUMENTS],
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            encoding="utf-8",
            errors="replace",
        )


def _books(
    process: subprocess.Popen[str],
    source: str | Callable[[], str],
    folder: Path,
    seconds: float,
    each_line: Callable[[str], None],
    cancel: Cancel,
) -> Iterator[Run]:
    started, books = time.monotonic(), 0
    late = threading.Timer(seconds, process.kill)
    late.start()
    printed = cast(IO[str], process.stdout)
    try:
        _feed(process, source if isinstance(source, str) else source())
        for made in _read(printed, folder, each_line):
            books += 1
            yield made
        process.wait()
    except BaseException:
        process.kill()
        process.wait()
        raise
    finally:
        timed_out = late.finished.is_set()
        late.cancel()
        late.join()  # this process may be forked next, when no other thread may be running
        printed.close()
    _log.debug(
        "LilyPond process %d: %d books in %.2f s, exit code %s",
        process.pid,
        books,
        time.monotonic() - started,
        process.returncode,
    )
    cancel.check()
    if timed_out:
        raise EngravingError(f"LilyPond did not finish within {seconds:g} seconds")
    if process.returncode or not books:
        message = (folder / _ERRORS).read_text("utf-8", "replace").strip()
        raise EngravingError("LilyPond could not draw the music:\n" + message[-2000:])


def _feed(process: subprocess.Popen[str], source: str) -> None:
    try:
        with cast(IO[str], process.stdin) as pipe:
            pipe.write(source)
    except BrokenPipeError:
        pass  # it ended early; its message says why


def _read(printed: IO[str], folder: Path, each_line: Callable[[str], None]) -> Iterator[Run]:
    """The books of a run as they are finished; LilyPond numbers their files."""
    lines: list[str] = []
    books, pdf = 0, folder / "music.pdf"
    for line in map(str.rstrip, printed):
        if line == "@BOOK" and pdf.is_file():
            yield Run(pdf.read_bytes(), tuple(lines))
            books += 1
            lines, pdf = [], folder / f"music-{books}.pdf"
        else:
            lines.append(line)
            each_line(line)
