"""What the shell starts: the command, on any terminal and in any locale.

In: the command line. Out: the exit code. Names that the locale cannot encode are written in UTF-8,
and a message that cannot be printed does not undo what was done.
"""

from __future__ import annotations

import io
import os
import sys
import traceback
from contextlib import suppress
from pathlib import Path
from typing import NoReturn, TypeGuard

import click

from workbook.cli import main
from workbook.errors import ExitCode
from workbook.inputs.messages import reason


def run() -> None:
    """Run the command ``workbook``."""
    _in_utf_8()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a name may be in no encoding at all
            stream.reconfigure(errors="replace")
    try:
        _check_working_folder()
        main()
    except Exception as error:
        if end := _told_to_end(error):
            _end(end)
        if not _was_printing(error):
            raise
        _close_screen()
        with suppress(OSError):
            why = reason(error)
            click.echo(f"The output of the command could not be printed: {why}", err=True)
        _close_screen()
        sys.exit(ExitCode.FAILED)


def _in_utf_8() -> None:
    """Start again in UTF-8 mode, where the locale has another encoding for names of files.

    From Python 3.15 on, that mode is the usual one (PEP 686).
    """
    wrong = sys.getfilesystemencoding() != "utf-8" and not sys.flags.utf8_mode
    if os.name == "posix" and wrong and sys.executable and os.environ.get("PYTHONUTF8") != "1":
        os.environ["PYTHONUTF8"] = "1"  # for worker processes too
        command = [sys.executable, "-X", "utf8", *sys.orig_argv[1:]]
        os.execv(sys.executable, command)  # noqa: S606 - this program, with the same arguments


def _check_working_folder() -> None:
    try:
        Path.cwd()
    except OSError:
        click.echo(
            "The folder in which you work no longer exists or may not be read; go to another one "
            "with cd, and run the command again.",
            err=True,
        )
        sys.exit(ExitCode.BAD_INPUT)


def _told_to_end(error: BaseException) -> BaseException | None:
    """The Ctrl+C, or request to end, that appears as a fault of a module being loaded."""
    behind = error.__cause__ or error.__context__
    if behind is None or isinstance(behind, KeyboardInterrupt | SystemExit):
        return behind
    return _told_to_end(behind)


def _end(end: BaseException) -> NoReturn:
    if isinstance(end, KeyboardInterrupt):
        click.echo("\nAborted!", err=True)  # click's words
        sys.exit(ExitCode.FAILED)
    raise end from None


def _was_printing(error: Exception) -> TypeGuard[OSError]:
    return isinstance(error, OSError) and any(
        frame.f_code is click.echo.__code__ for frame, _ in traceback.walk_tb(error.__traceback__)
    )


def _close_screen() -> None:
    """Leave Python nothing to print, and so nothing to complain about, when it ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError):
            stream.flush()
            continue
        os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
