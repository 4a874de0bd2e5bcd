"""Finished files take the place of old ones, as a journal says: all of them or none.

In: a folder with new files, old ones and a journal. Out: the files in the teacher's folder,
and sentences about those that a person changed in the meantime, which are left alone.
"""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Mapping
from contextlib import suppress
from itertools import chain, count
from pathlib import Path

from workbook.builds.journal import (
    JOURNAL,
    NEW,
    OLD,
    Content,
    Entry,
    Journal,
    Look,
    compared,
    content,
    look,
    synced,
    write,
)
from workbook.record.files import MARK_TABLE


def place(folder: Path, target: Path, read: Mapping[str, bytes | None]) -> list[str]:
    """Put the files of ``folder / NEW`` into ``target``.

    ``read`` has the contents of old files from which new ones were made. Raises OSError if
    a file cannot be put in place; everything in ``target`` is then unchanged, unless that fails
    too: then ``folder`` keeps its journal.
    """
    journal, seen = compared(folder / NEW, target, read)
    if not journal.entries:
        return []
    _keep_old(folder / OLD, target, journal)
    synced(_unsynced(folder))
    try:
        write(folder, journal)
        synced([target])  # so that the folder with the journal is found again
        told = settle(folder, target, journal, seen)
    except BaseException:
        write(folder, undone := journal.undone())
        settle(folder, target, undone)
        close(folder)
        raise
    _sync_folders(target, journal)
    close(folder)
    return told


def close(folder: Path) -> None:
    """Remove the journal: everything is in place."""
    (folder / JOURNAL).unlink(missing_ok=True)


def finish(folder: Path, target: Path, journal: Journal) -> tuple[Journal, list[str]]:
    """Continue where a killed process stopped.

    Returns the journal that was followed, and sentences. If a new file is damaged, which
    happens to incomplete copies, the build is undone. Raises OSError.
    """
    if journal.goal == "new" and not all(_is_whole(folder / NEW, e) for e in journal.entries):
        journal = journal.undone()
        write(folder, journal)
    told = settle(folder, target, journal)
    _sync_folders(target, journal)
    close(folder)
    return journal, told


def _is_whole(new: Path, entry: Entry) -> bool:
    """Whether a new file that is not in place yet is as it was written."""
    return content(new / entry.path) in (None, entry.new)


def settle(
    folder: Path, target: Path, journal: Journal, seen: Mapping[str, Look] | None = None
) -> list[str]:
    """Bring every file to the state that the journal aims at. Returns sentences; raises OSError.

    ``seen`` shows which old files need not be read again to know what they contain.
    """
    told = []
    for entry in journal.entries:
        final = target / entry.path
        known = seen is not None and seen.get(entry.path) == look(final)
        there = entry.old if known else content(final)
        step = _forward if journal.goal == "new" else _back
        told.append(step(folder, target, entry, there))
    return list(filter(None, told))


def _forward(folder: Path, target: Path, entry: Entry, there: Content | None) -> str:
    source, final = folder / NEW / entry.path, target / entry.path
    if not source.exists():
        return ""  # in place already; what was done to it since is right
    if there not in (None, entry.old, entry.new):
        return _beside(folder, source, final, entry)
    final.parent.mkdir(parents=True, exist_ok=True)
    os.replace(source, final)  # noqa: PTH105
    return ""


def _back(folder: Path, target: Path, entry: Entry, there: Content | None) -> str:
    backup, final = folder / OLD / entry.path, target / entry.path
    if there == entry.old:
        return ""
    if there not in (None, entry.new):
        return f"{final} was changed in the meantime and was left as it is."
    if entry.old is None:
        final.unlink(missing_ok=True)
        _remove_empty(final.parent, target)
    elif backup.exists():
        os.replace(backup, final)  # noqa: PTH105
    else:
        return f"{final} could not be restored: build it again."
    return ""


def _beside(folder: Path, source: Path, final: Path, entry: Entry) -> str:
    """Leave a file that a person changed in its place, and keep that of the build beside it."""
    if entry.path == MARK_TABLE:
        from workbook.builds.marks_kept import merge

        return merge(source, final, folder)
    name = free_name(final, "-from-build")
    os.replace(source, final.with_name(name))  # noqa: PTH105
    return (
        f"{final} was changed after the build started and was left as it is; the file from the "
        f"build was saved as {name}."
    )


def free_name(path: Path, ending: str) -> str:
    """A name like ``path``'s with ``ending``, and a number if necessary, that is not taken."""
    names = (f"{path.stem}{ending}{n}{path.suffix}" for n in chain([""], count(-2, -1)))
    return next(name for name in names if not os.path.lexists(path.with_name(name)))


def _keep_old(old: Path, target: Path, journal: Journal) -> None:
    """Keep each old file under a second name, and give its permissions to the new one."""
    for entry in journal.entries:
        final, backup = target / entry.path, old / entry.path
        if not os.path.lexists(final):
            continue
        backup.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(final, backup, follow_symlinks=False)
        except (OSError, NotImplementedError):  # a disk without hard links, such as a stick's
            shutil.copy2(final, backup, follow_symlinks=False)
        with suppress(OSError):
            (old.parent / NEW / entry.path).chmod(stat.S_IMODE(final.lstat().st_mode))


def _unsynced(folder: Path) -> list[Path]:
    """Everything below ``folder`` but old files that are the teacher's own, linked."""
    return [
        path
        for path in folder.rglob("*")
        if path.is_dir() or (folder / OLD not in path.parents or path.stat().st_nlink == 1)
    ]


def _sync_folders(target: Path, journal: Journal) -> None:
    places = {
        parent
        for entry in journal.entries
        for parent in ((target / entry.path).parent, (target / entry.path).parent.parent)
        if parent.is_relative_to(target) and parent.is_dir()
    }
    synced(sorted(places))


def _remove_empty(folder: Path, target: Path) -> None:
    while folder != target and folder.is_relative_to(target):
        try:
            folder.rmdir()
        except OSError:
            return
        folder = folder.parent
