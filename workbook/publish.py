"""Finished files into place: all of them, or none.

In: a folder that holds the new files, or one file under writing. Out: the same
files in the teacher's folder. Other files there are left alone.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from workbook.errors import OutputError


@contextmanager
def staging(target: Path) -> Iterator[Path]:
    """A folder to write into; what it holds at the end is moved into ``target``.

    If the block raises, or the move fails or is interrupted half way, ``target``
    is as it was. Raises OutputError when the folder cannot be written.
    """
    existed = target.exists()
    try:
        target.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=".building-", dir=target))
    except OSError as error:
        raise OutputError(f"cannot write into {target}: {error.strerror or error}") from None
    try:
        new = folder / "new"
        new.mkdir()
        yield new
        _move(new, target, folder / "old")
    except OSError as error:
        which = Path(error.filename).name if error.filename else target
        raise OutputError(f"cannot write {which} in {target}: {error.strerror or error}; "
                          "the files there are as they were") from None
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if not existed:
            _remove_if_empty(target)


@contextmanager
def whole_file(target: Path) -> Iterator[BinaryIO]:
    """An open file that becomes ``target`` at the end.

    If the block raises, ``target`` is as it was. Raises OutputError when it
    cannot be written.
    """
    half = target.with_name(f".{target.name}.{os.getpid()}.part")
    made = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with half.open("wb") as file:
            yield file
        os.replace(half, target)
    except OSError as error:
        raise OutputError(f"cannot write {target}: {error.strerror or error}") from None
    finally:
        try:
            half.unlink(missing_ok=True)
        except OSError:
            pass
        for folder in made:
            _remove_if_empty(folder)


def _move(new: Path, target: Path, old: Path) -> None:
    done: list[tuple[Path, Path | None]] = []
    try:
        for source in sorted(path for path in new.rglob("*") if path.is_file()):
            relative = source.relative_to(new)
            final, backup = target / relative, None
            final.parent.mkdir(parents=True, exist_ok=True)
            if final.exists():
                backup = old / relative
                backup.parent.mkdir(parents=True, exist_ok=True)
                os.replace(final, backup)
            done.append((final, backup))
            os.replace(source, final)
    except BaseException:
        for final, backup in reversed(done):
            if backup is not None:
                os.replace(backup, final)
            else:
                final.unlink(missing_ok=True)
                _remove_if_empty(final.parent)
        raise


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        pass
