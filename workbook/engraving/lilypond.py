"""The LilyPond program: where it is, its version, how it is run. No other module knows this.

In: source text. Out: for each book of it the PDF's bytes and what the run printed. A fault
of the program itself, and not of the music, is an ``Unusable``: trying again with less music would
not help. See the LilyPond usage manual, "Command-line usage".
"""

from __future__ import annotations

import logging
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from workbook.cancel import Cancel
from workbook.engraving.process import Flood, Late, Process
from workbook.errors import EngraverMissing, EngravingError
from workbook.inputs.messages import reason
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
_MOST_PDF = 64 * 1024 * 1024
"""Bytes of a book's PDF; a good one has some 200,000."""
_ROOM = 1024 * 1024
"""Bytes that must be free for temporary files: the books of one run."""
_VERSION_SECONDS = 20

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Run:
    """What a run made of one book: the PDF, and the lines printed on standard output."""

    pdf: bytes
    lines: tuple[str, ...]


class Unusable(EngravingError):
    """LilyPond, or the room for its files, is at fault, whatever the music."""


class TookTooLong(Unusable):
    """The run did not end in time."""

    def __init__(self, seconds: float):
        super().__init__(
            f"LilyPond did not finish within {seconds:.4g} seconds and was stopped. "
            "Run the command again; if that does not help, reinstall LilyPond."
        )


@cache
def _in_wheel() -> Path | None:
    """Where the wheel has the program; None without a wheel."""
    try:
        import lilypond
    except ImportError:
        return None
    return Path(lilypond.executable())


def find() -> Path:
    """The program: the one that SETTING names, the one in the wheel, or one on PATH.

    The path is absolute, as the program runs in another folder. Raises EngraverMissing with
    the command that installs it.
    """
    named = os.environ.get(SETTING)
    if named:
        found = _on_path(named)
        if not found:
            raise EngraverMissing(
                f"{SETTING} names {named}, which is not a program that can "
                "be run; give the path of the lilypond program"
            )
        return found
    wheel = _in_wheel()
    if wheel and wheel.is_file():
        return wheel
    found = _on_path("lilypond")
    if found:
        return found
    command = _INSTALL.get(sys.platform, "see your system's package manager")
    raise EngraverMissing(
        "LilyPond, which draws the music, is not installed on this computer.\n"
        f"Install it with: {command}\n"
        f"or set {SETTING} to the path of the lilypond program."
    )


def _on_path(name: str) -> Path | None:
    found = shutil.which(name)
    try:
        return Path(found).absolute() if found else None
    except FileNotFoundError:  # the working folder, below which it was found, is deleted
        return None


@cache
def version(program: Path) -> str:
    """The program's version, such as ``"2.25.12"``.

    Raises EngraverMissing if it does not run or is older than ``OLDEST``.
    """
    printed = _version_text(program)
    match = re.search(r"LilyPond\b.*?\b(\d{1,9})\.(\d{1,9})\.(\d{1,9})\b", printed)
    if not match or tuple(map(int, match.groups())) < OLDEST:
        wanted = ".".join(map(str, OLDEST))
        shown = f"LilyPond {'.'.join(match.groups())}" if match else "not LilyPond"
        raise EngraverMissing(f"{program} is {shown}; version {wanted} or newer is needed")
    number = ".".join(match.groups())
    _log.debug("LilyPond %s at %s", number, program)
    return number


def _version_text(program: Path) -> str:
    """What ``--version`` prints."""
    try:
        with Process([program, "--version"], time.monotonic() + _VERSION_SECONDS) as process:
            process.feed("")
            return "\n".join(process.lines())
    except OSError as error:
        why = reason(error)
    except Late:
        why = f"it did not report its version within {_VERSION_SECONDS} seconds"
    except Flood:
        why = "its output does not end"
    raise EngraverMissing(
        f"{program} does not run: {why}. Reinstall LilyPond, or set {SETTING} to the path of "
        "the lilypond program."
    )


def run(
    source: str | Callable[[], str],
    seconds: float = 600,
    each_line: Callable[[str], None] = lambda _line: None,
    cancel: Cancel | None = None,
) -> Generator[Run, None, None]:
    """Engrave ``source`` in a temporary folder of its own. Yields each book as soon as it is
    written, while LilyPond goes on with the next.

    If ``source`` is a function, it is called while LilyPond starts. ``each_line`` is called
    with every line of the report as it is printed. Raises EngraverMissing; Cancelled when
    ``cancel`` is cancelled, which ends the process; TookTooLong after ``seconds``; Unusable
    if there is no room for temporary files, or for another fault of the program; and
    EngravingError with LilyPond's own message. After an error nothing that was yielded is to
    be used.
    """
    program = find()
    version(program)
    cancel = cancel or Cancel()
    cancel.check()
    with _temporary_folder() as folder:
        with _start(program, folder, seconds) as process, cancel.on_cancel(process.kill):
            try:
                yield from _books(process, source, folder, each_line)
                cancel.check()
            except Late:
                raise TookTooLong(seconds) from None
            except Flood:
                raise Unusable(
                    f"{program} produced endless output and was stopped. Reinstall LilyPond."
                ) from None
            code, message = process.exit_code, process.errors
        if code:
            _check_room(folder)
            raise EngravingError(
                f"LilyPond could not draw the music (exit code {code}):\n{message[-2000:]}"
            )


@contextmanager
def _temporary_folder() -> Iterator[Path]:
    """A folder for the files of one run, with room for them."""
    with ExitStack() as stack:
        with _room_is_needed():
            folder = stack.enter_context(temporary())
        _check_room(folder)
        yield folder


def _check_room(folder: Path) -> None:
    probe = folder / "room"
    with _room_is_needed():
        probe.write_bytes(bytes(_ROOM))
        probe.unlink()


@contextmanager
def _room_is_needed() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise Unusable(
            "LilyPond's temporary files cannot be written into "
            f"{tempfile.tempdir or 'any of the usual folders'} ({reason(error)}). Make "
            "room there, or set TMPDIR to another folder."
        ) from None


def _start(program: Path, folder: Path, seconds: float) -> Process:
    try:
        return Process([program, *_ARGUMENTS], time.monotonic() + seconds, folder)
    except OSError as error:
        raise Unusable(f"{program} does not run: {reason(error)}") from None


def _books(
    process: Process,
    source: str | Callable[[], str],
    folder: Path,
    each_line: Callable[[str], None],
) -> Iterator[Run]:
    """The books of a run as they are finished; LilyPond numbers their files."""
    started = time.monotonic()
    process.feed(source if isinstance(source, str) else source())
    lines: list[str] = []
    books, pdf = 0, folder / "music.pdf"
    for line in process.lines():
        if line == "@BOOK" and pdf.is_file():
            yield Run(_pdf(pdf), tuple(lines))
            books += 1
            lines, pdf = [], folder / f"music-{books}.pdf"
        else:
            lines.append(line)
            each_line(line)
    _log.debug(
        "LilyPond process %d: %d books in %.2f s, exit code %s",
        process.number,
        books,
        time.monotonic() - started,
        process.exit_code,
    )


def _pdf(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            data = opened.read(_MOST_PDF + 1)
    except OSError as error:
        raise Unusable(f"LilyPond's PDF cannot be read: {reason(error)}") from None
    if len(data) > _MOST_PDF:
        raise Unusable("LilyPond wrote a PDF of more than 64 MB. Reinstall LilyPond.")
    return data
