"""Moves finished files into place: all of them or none.

In: a folder with new files, or one open file. Out: the same files in the teacher's folder.
Other files there are left alone. If a build is killed during the move, the next build puts
the old files back.
"""

from __future__ import annotations

import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from workbook.errors import OutputError

_HALF = ".building-"
"""Prefix of the name of a folder with unfinished files; the process id follows."""


@contextmanager
def staging(target: Path) -> Iterator[Path]:
    """A new folder to write into. At the end its files move into ``target``.

    If the block raises or the move fails, ``target`` stays as it was. Signals that end the
    program wait until the move is over. Raises OutputError if ``target`` cannot be written.
    """
    existed = target.exists()
    try:
        target.mkdir(parents=True, exist_ok=True)
        _recover(target)
        folder = Path(tempfile.mkdtemp(prefix=f"{_HALF}{os.getpid()}-", dir=target))
    except OSError as error:
        raise OutputError(f"cannot write into {target}: {error.strerror or error}") from None
    try:
        new = folder / "new"
        new.mkdir()
        yield new
        with _signals_held():
            _move(new, target, folder / "old")
    except OSError as error:
        which = Path(error.filename).name if error.filename else target
        raise OutputError(
            f"cannot write {which} in {target}: {error.strerror or error}; "
            "the files there are as they were"
        ) from None
    finally:
        with _signals_held():
            shutil.rmtree(folder, ignore_errors=True)
            if not existed:
                _remove_if_empty(target)


@contextmanager
def whole_file(target: Path) -> Iterator[BinaryIO]:
    """An open binary file that becomes ``target`` at the end.

    If the block raises, ``target`` stays as it was. Raises OutputError if it cannot be
    written.
    """
    half = target.with_name(f".{target.name}.{os.getpid()}.part")
    made = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with half.open("wb") as file:
            yield file
        half.replace(target)
    except OSError as error:
        raise OutputError(f"cannot write {target}: {error.strerror or error}") from None
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)
        for folder in made:
            _remove_if_empty(folder)


def _move(new: Path, target: Path, old: Path) -> None:
    begun: list[tuple[Path, Path, Path]] = []
    old.mkdir()
    try:
        for source in sorted(path for path in new.rglob("*") if path.is_file()):
            relative = source.relative_to(new)
            final, backup = target / relative, old / relative
            begun.append((source, final, backup))
            final.parent.mkdir(parents=True, exist_ok=True)
            if final.exists():
                backup.parent.mkdir(parents=True, exist_ok=True)
                final.replace(backup)
            source.replace(final)
    except BaseException:
        for source, final, backup in reversed(begun):
            if backup.exists():
                backup.replace(final)
            elif not source.exists():
                final.unlink(missing_ok=True)
                _remove_if_empty(final.parent)
        raise
    with suppress(OSError):
        old.replace(old.with_name("done"))  # complete: nothing to put back from here on


def _recover(target: Path) -> None:
    """Put back the old files of builds that were killed while moving files."""
    for folder in target.glob(f"{_HALF}*"):
        pid = folder.name[len(_HALF) :].partition("-")[0]
        if not pid.isdigit() or _runs(int(pid)):
            continue
        old = folder / "old"
        for backup in sorted(path for path in old.rglob("*") if path.is_file()):
            final = target / backup.relative_to(old)
            final.parent.mkdir(parents=True, exist_ok=True)
            backup.replace(final)
        shutil.rmtree(folder, ignore_errors=True)


def _runs(pid: int) -> bool:
    """Whether the process runs; True on systems that cannot tell."""
    if os.name != "posix":
        return True
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        pass
    return True


@contextmanager
def _signals_held() -> Iterator[None]:
    """Delay signals that end the program until the end of the block."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread receives signals
        return
    received: list[int] = []
    before = {}
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) not in (signal.SIG_IGN, None):
            before[number] = signal.signal(number, lambda number, frame: received.append(number))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if received:
            signal.raise_signal(received[0])


def _remove_if_empty(folder: Path) -> None:
    with suppress(OSError):
        folder.rmdir()
