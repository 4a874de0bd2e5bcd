"""What would keep a build from writing its files, reported before anything is done.

In: the teacher's folder and the relative paths of files. Out: nothing, or one OutputError.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable
from pathlib import Path, PurePath

from workbook.errors import MOST_LISTED, OutputError
from workbook.inputs.files import impossible


def refuse(target: Path, paths: Iterable[str]) -> None:
    """Raise OutputError if a file cannot be written to one of ``paths`` in ``target``.

    That is so where something else has its name, or where the way to it leaves ``target``
    or cannot be written.
    """
    every = list(paths)
    blocked = dict.fromkeys(filter(None, (in_place(target / path) for path in every)))
    _report([*_ways(target, every), *blocked])


def refuse_names(target: Path, paths: Iterable[str]) -> None:
    """Raise OutputError if ``target``, or one of ``paths`` in it, has an impossible name."""
    every = dict.fromkeys([target, *(target / PurePath(path).parent for path in paths)])
    told = ((path, impossible(path)) for path in every)
    _report([f"cannot write {path}: {why}" for path, why in told if why])


def refuse_ways(target: Path, paths: Iterable[str]) -> None:
    """Raise OutputError if the way to one of ``paths`` leaves ``target`` or is blocked."""
    _report(_ways(target, paths))


def _report(lines: list[str]) -> None:
    if lines:
        more = len(lines) - MOST_LISTED
        ending = [f"and {more} more"] if more > 0 else []
        raise OutputError("\n".join([*lines[:MOST_LISTED], *ending]))


def in_place(path: Path, links: bool = False) -> str:
    """A sentence about anything but a file that has the name of a file to be written, or "".

    With ``links``, a link may have it too.
    """
    try:
        kind = stat.S_IFMT(path.lstat().st_mode)
    except OSError:
        return ""
    if kind == stat.S_IFREG or (links and kind == stat.S_IFLNK):
        return ""
    what = {stat.S_IFDIR: "a folder", stat.S_IFLNK: "a link"}.get(kind, "not an ordinary file")
    return f"{path} is {what}, but a file with that name must be written; rename it first"


def _ways(target: Path, paths: Iterable[str]) -> list[str]:
    folders = dict.fromkeys(PurePath(path).parent for path in paths)
    root = Path(os.path.realpath(target))  # Path.resolve fails on links that lead in a circle
    return list(dict.fromkeys(filter(None, (_way(target, root, f) for f in folders))))


def _way(target: Path, root: Path, folder: PurePath) -> str:
    here = target
    for name in folder.parts:
        here /= name
        if not os.path.lexists(here):
            return ""
        if here.is_symlink() and not Path(os.path.realpath(here)).is_relative_to(root):
            return (
                f"{here} is a link to a place outside {target}; "
                "remove it, or build into another folder"
            )
        if not here.is_dir():
            return f"{here} is not a folder, but files must be written into it; rename it first"
    if os.access(here, os.W_OK | os.X_OK):
        return ""
    return (
        f"{here}: you have no permission to write into this folder; "
        "change its permissions, or build into another folder"
    )
