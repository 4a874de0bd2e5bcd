"""The only way in which files are written into the teacher's folders.

In: a folder with new files, or one open file. Out: the same files in the teacher's folder,
all of them or none, even if the program is killed. Other files there are left alone.
"""

from __future__ import annotations

import errno
import logging
import os
import stat
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import BinaryIO

from workbook.builds import placing
from workbook.builds.journal import JOURNAL, NEW, synced
from workbook.builds.obstacles import in_place, refuse, refuse_names
from workbook.builds.recovery import FOLDER_LOCK, PREFIX, WAIT, Notice, in_use, recover
from workbook.builds.signals import held
from workbook.errors import OutputError
from workbook.inputs.files import real
from workbook.inputs.messages import reason
from workbook.locks import NoLocks, take
from workbook.temporary import Temporary, make

_PAUSE = 0.1
_log = logging.getLogger(__name__)


@contextmanager
def staging(
    target: Path,
    files: Iterable[str] = (),
    *,
    read: Mapping[str, bytes | None] | None = None,
    notice: Notice | None = None,
) -> Iterator[Path]:
    """A new folder to write into. At the end its files move into ``target``.

    If the block raises or the move fails, ``target`` stays as it was. What a killed build
    left in ``target`` is finished first. Signals that end the program wait until the move
    is over.

    Args:
        target: The teacher's folder; it is made if necessary.
        files: Paths, relative to ``target``, that will be written; they are checked first.
        read: Old files from which new ones are made, with their contents, None if there was
            none; may be filled in the block. If such a file is another one at the end, it
            stays or, if it is the mark sheet, the new one gets its marks.
        notice: Called with sentences that the teacher should read.

    Raises:
        OutputError: ``target`` cannot be written, or another command is writing into it.
    """
    names = tuple(files)
    refuse_names(target, names)
    with _folder(target), alone(target):
        recover(target, notice)
        refuse(target, names)
        with _unfinished(target) as folder:
            try:
                (folder / NEW).mkdir()
                yield folder / NEW
                with held():
                    told = _placed(folder, target, read or {})
            except OSError as error:
                raise OutputError(_failure(folder, target, error)) from None
    for sentence in told:
        (notice or _log.warning)(sentence)


@contextmanager
def whole_file(target: Path, notice: Notice | None = None) -> Iterator[BinaryIO]:
    """An open binary file that becomes ``target`` at the end.

    If the block raises, ``target`` stays as it was. Raises OutputError if it cannot be
    written.
    """
    refuse_names(target, ())
    with _folder(target.parent):
        recover(target.parent, notice)
        with replacing(target) as file:
            yield file


@contextmanager
def replacing(target: Path) -> Iterator[BinaryIO]:
    """As ``whole_file``, in an existing folder, without checking what is in it."""
    if what := in_place(target, links=True):
        raise OutputError(what)
    with _unfinished(target.parent) as folder:
        half = folder / NEW
        try:
            with half.open("xb") as file:
                yield file
            _keep_mode(half, target)
            synced([half])
            os.replace(half, target)  # noqa: PTH105
            synced([target.parent])
        except OSError as error:
            raise OutputError(f"cannot write {target}: {reason(error)}") from None


@contextmanager
def rewriting(target: Path) -> Iterator[BinaryIO]:
    """As ``replacing``, for a file that the teacher keeps: a link to it stays a link.

    The file that it leads to is replaced. Raises OutputError also for a broken link.
    """
    kept = real(target)
    if target.is_symlink() and not kept.exists():
        raise OutputError(f"{target} is a link to a file that does not exist; remove or repair it")
    with replacing(kept) as file:
        yield file


@contextmanager
def _unfinished(target: Path) -> Iterator[Path]:
    """A new folder in ``target`` for unfinished files.

    It is removed at the end, unless a journal says that the next command must finish it.
    """
    with ExitStack() as stack:
        with held():
            try:
                folder = make(target, PREFIX)
            except OSError as error:
                raise OutputError(f"cannot write into {target}: {reason(error)}") from None
            stack.callback(_leave, folder)
        yield folder.path


def _leave(folder: Temporary) -> None:
    with held():
        if (folder.path / JOURNAL).exists():
            folder.leave()
        else:
            folder.remove()


def _keep_mode(half: Path, target: Path) -> None:
    with suppress(OSError):
        half.chmod(stat.S_IMODE(target.stat().st_mode))


def _placed(folder: Path, target: Path, read: Mapping[str, bytes | None]) -> list[str]:
    refuse(target, [p.relative_to(folder / NEW).as_posix() for p in _below(folder / NEW)])
    return placing.place(folder, target, read)


def _below(folder: Path) -> Iterator[Path]:
    return (path for path in folder.rglob("*") if path.is_file())


def _failure(folder: Path, target: Path, error: OSError) -> str:
    which = Path(error.filename).name if error.filename else target
    what = f"cannot write {which} in {target}: {reason(error)}; "
    if (folder / JOURNAL).exists():
        return f"{what}the next command that uses that folder finishes the work"
    return f"{what}the files there are unchanged"


@contextmanager
def _folder(target: Path) -> Iterator[None]:
    """Make the folder; remove what was made of it if it is empty at the end."""
    made = [folder for folder in (target, *target.parents) if not os.path.lexists(folder)]
    try:
        try:
            target.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(f"cannot write into {target}: {reason(error)}") from None
        yield
    finally:
        for folder in made:
            with suppress(OSError):
                folder.rmdir()


@contextmanager
def alone(target: Path) -> Iterator[None]:
    """Hold the lock of a folder, so that builds into it take turns.

    Raises OutputError if another command does not give it up within ``WAIT`` seconds.
    """
    deadline = time.monotonic() + WAIT
    with ExitStack() as stack:
        while True:
            with held():
                if locked := _lock(target):
                    stack.callback(locked)
                    break
            if time.monotonic() > deadline:
                raise OutputError(in_use(target))
            time.sleep(_PAUSE)
        yield


def _lock(target: Path) -> Callable[[], object] | None:
    """What releases the folder's lock; None if another command holds it."""
    try:
        lock = take(target / FOLDER_LOCK)
    except NoLocks:
        _log.warning("%s does not support locks: run only one command at a time on it", target)
        return partial((target / FOLDER_LOCK).unlink, missing_ok=True)
    except OSError as error:
        raise OutputError(_no_lock(target, error)) from None
    return lock.release if lock else None


def _no_lock(target: Path, error: OSError) -> str:
    if error.errno in (errno.ELOOP, errno.EISDIR):
        return f"{target / FOLDER_LOCK} is not an ordinary file; remove it"
    return f"cannot write into {target}: {reason(error)}"
