"""What killed commands left is finished or removed before anything is read or written.

In: a folder of the teacher's, or files in it. Out: the same folder, all old or all new, and
a sentence for each thing done.
"""

from __future__ import annotations

import logging
import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from workbook.builds.journal import JOURNAL, Damaged, read
from workbook.builds.obstacles import refuse_ways
from workbook.builds.placing import finish
from workbook.errors import InputError, OutputError, Problem, WorkbookError
from workbook.inputs.files import impossible
from workbook.inputs.messages import reason
from workbook.locks import NoLocks, take
from workbook.record.files import MARK_TABLE, NAMES
from workbook.temporary import LOCK, Temporary, named, trusted

PREFIX = ".building-"
"""Prefix of the name of a folder with unfinished files."""
FOLDER_LOCK = ".workbook.lock"
"""The file that a build locks in the folder that it writes into."""
WAIT = 10.0
"""Seconds to wait for another command before giving up."""
_PAUSE = 0.05
_LEVELS = 3
"""Folders between a file and the folder of its build, at most: student, workbook, form."""
_log = logging.getLogger(__name__)

Notice = Callable[[str], object]


def recover(place: Path, notice: Notice | None = None, below: bool = False) -> None:
    """Finish or remove what killed commands left in ``place`` and the folders around it.

    With ``below``, also in the folders inside it. Raises OutputError if a build is half in
    place and cannot be finished.
    """
    _recover_all(_around(place, below), notice)


def _recover_all(places: Iterable[Path], notice: Notice | None) -> None:
    for place in places:
        for folder in named(place, PREFIX):
            if sentence := _recovered(folder, place, notice or _log.warning):
                (notice or _log.warning)(sentence)
        _clear_lock(place)


class Reading:
    """The files that a command is about to read, all from one build."""

    def __init__(self, places: list[Path], files: Callable[[], Iterable[Path]]):
        self._places, self._files = places, files
        self._before = _looks(files())

    def check(self) -> None:
        """Raise WorkbookError if any of the files has been replaced in the meantime."""
        moving = any(
            trusted(folder) and _has_journal(folder)
            for place in self._places
            for folder in named(place, PREFIX)
        )
        if moving or _looks(self._files()) != self._before:
            raise WorkbookError(
                "files were changed while they were being read; run the command again"
            )


def reading(paths: Iterable[Path], notice: Notice | None = None) -> Reading:
    """Recover what ``paths``, files or whole folders, belong to; then begin to read them.

    Locks nothing, so that it works in folders that cannot be written. Raises OutputError as
    ``recover`` does, and InputError for names that no file can have.
    """
    every = list(paths)
    if wrong := [(str(path), why) for path in every if (why := impossible(path))]:
        raise InputError(Problem(path, "", f"it cannot be read: {why}") for path, why in wrong)
    places: dict[Path, None] = {}
    for path in every:
        folder = path.is_dir()
        places.update(dict.fromkeys(_around(path if folder else path.parent, folder)))
    _recover_all(places, notice)
    return Reading(list(places), lambda: (file for path in every for file in _files(path)))


def _around(place: Path, below: bool) -> list[Path]:
    try:
        here = Path(os.path.realpath(place))  # Path.resolve fails on links that lead in a circle
    except OSError:  # the working folder was deleted
        return []
    found = [here, *list(here.parents)[:_LEVELS]]
    if below:
        found += (folder for folder, _ in _walk(here) if folder != here)
    return found


def _walk(root: Path) -> Iterator[tuple[Path, list[str]]]:
    for folder, inside, files in os.walk(root):
        inside[:] = [name for name in inside if not name.startswith(".")]
        yield Path(folder), files


def _files(path: Path) -> Iterator[Path]:
    if not path.is_dir():
        yield path
        return
    for folder, names in _walk(path):
        yield from (folder / name for name in names if name in NAMES)


def _looks(files: Iterable[Path]) -> dict[Path, tuple[int, int, int] | None]:
    found: dict[Path, tuple[int, int, int] | None] = {}
    for file in files:
        try:
            look = file.stat()
        except OSError:
            found[file] = None
        else:
            found[file] = look.st_ino, look.st_size, look.st_mtime_ns
    return found


def _has_journal(folder: Path) -> bool:
    return os.path.isfile(folder / JOURNAL)  # noqa: PTH113  # False where it may not be read


def _recovered(path: Path, target: Path, notice: Notice) -> str:
    """Finish or remove one folder of unfinished files. Returns what was done, or ""."""
    if not (trusted(path) and _readable(path)):
        return _of_another_user(target) if path.exists() else ""
    if not (_has_journal(path) or os.path.lexists(path / LOCK)):
        with suppress(OSError):
            path.rmdir()  # killed before it was locked
        return ""
    folder = _locked(path, target)
    if folder is None:
        return ""
    try:
        if _has_journal(path):
            sentence = _finished(path, target, notice)
        else:
            sentence = f"Leftover files of an interrupted command in {target} were removed."
    except BaseException:
        folder.leave()
        raise
    folder.remove()
    return sentence if not path.exists() else ""


def _readable(path: Path) -> bool:
    try:
        next(path.iterdir(), None)
    except OSError:
        return False
    return True


def _of_another_user(target: Path) -> str:
    if not (target / MARK_TABLE).exists():
        return ""  # no build of a studio, but a folder that many share, such as /tmp
    return (
        f"{target} has unfinished files of another user. If a build was interrupted there, its "
        "files are a mix of old and new until that user runs a command on that folder."
    )


def _locked(path: Path, target: Path) -> Temporary | None:
    """The folder, locked; None if it is in use and no journal says that it matters.

    Waits while a running build puts its files in place.
    """
    deadline = time.monotonic() + WAIT
    while True:
        try:
            if lock := take(path / LOCK, make=_has_journal(path)):
                return Temporary(path, lock)
        except NoLocks:
            return Temporary(path, None) if _has_journal(path) else None
        except OSError as error:
            if _has_journal(path):
                raise OutputError(_cannot_finish(target, error)) from None
            return None
        if not _has_journal(path):
            return None
        if time.monotonic() > deadline:
            raise OutputError(in_use(target))
        time.sleep(_PAUSE)


def in_use(target: Path) -> str:
    """The sentence for a folder that another command does not release."""
    return (
        f"another command is writing into {target}; wait until it has finished, then run this "
        "command again"
    )


def _cannot_finish(target: Path, error: OSError) -> str:
    which = f" ({Path(error.filename).name})" if error.filename else ""
    return (
        f"a build into {target} was interrupted half way and cannot be finished: "
        f"{reason(error)}{which}; run the command where you can write to that folder"
    )


def _finished(path: Path, target: Path, notice: Notice) -> str:
    try:
        journal = read(path)
        if journal is None:
            return ""
        refuse_ways(target, [entry.path for entry in journal.entries])
        journal, told = finish(path, target, journal)
    except Damaged:
        raise OutputError(
            f"a build into {target} was interrupted half way, and its journal is damaged; "
            f"delete the folder {path.name} there and build again"
        ) from None
    except OSError as error:
        raise OutputError(_cannot_finish(target, error)) from None
    for sentence in told:
        notice(sentence)
    if journal.goal == "new":
        return f"A build into {target} had been interrupted; it has now been finished."
    return f"A build into {target} had been interrupted; the old files have been restored."


def _clear_lock(place: Path) -> None:
    path = place / FOLDER_LOCK
    if os.path.lexists(path):
        with suppress(OSError):
            if lock := take(path, make=False):
                lock.release()
