"""A studio opened for work: its folder and its record.

In: a folder. Out: an ``OpenStudio``. The record is in the data folder of this computer, tied to
the studio folder by an id; copies of it are in the studio folder (see ``studio_record.copies``).
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePath

import platformdirs

from workbook.errors import WorkbookError
from workbook.studio.folder import SETTINGS, Studio, is_studio, new_studio, read_studio
from workbook.studio_record import copies
from workbook.studio_record.record import StudioRecord

DATA = "WORKBOOK_DATA"
"""The environment variable that names another data folder."""


class NoStudio(WorkbookError):
    """The folder is not a studio folder."""


class RecordMissing(WorkbookError):
    """The studio has copies of its record, but no record on this computer."""

    def __init__(self, newest: Path):
        self.newest = newest
        super().__init__(
            f"This computer has no record of this studio. The newest copy is {newest}; to restore "
            "it: workbook record restore"
        )


@dataclass(frozen=True)
class OpenStudio:
    """A studio and its record."""

    studio: Studio
    record: StudioRecord

    def save(self, *, marks: bool = True) -> Path:
        """Copy the record into the studio folder; returns the copy.

        Without ``marks``, the table of marks is written only if it is older than the last mark.
        """
        return copies.save_copies(self.record, self.studio.folder, marks=marks)

    def save_table(self) -> None:
        """Write the table of marks if it is older than the last mark. Raises RecordError."""
        copies.save_table(self.record, self.studio.folder)


def record_file(studio: Studio) -> Path:
    """Where the record of a studio is on this computer."""
    named = os.environ.get(DATA, "")
    base = Path(named) if named else platformdirs.user_data_path("workbook", appauthor=False)
    return base / "studios" / studio.id / "record.sqlite"


def begin(folder: Path, roster: bytes, beside: Mapping[PurePath, bytes] | None = None) -> Studio:
    """Make a studio folder and its record; see ``new_studio``. Raises OutputError, RecordError."""
    studio = new_studio(folder, roster, beside)
    with opened(studio.folder) as open_studio:
        open_studio.save()
    return studio


def studio_at(folder: Path) -> Studio:
    """The studio in ``folder``. Raises NoStudio, or InputError for a faulty ``studio.toml``."""
    if not is_studio(folder):
        raise NoStudio(
            f"{folder.resolve()} is not a studio folder: it has no {SETTINGS}. Go into the studio "
            "folder, name it with --studio, or make one with: workbook begin FOLDER"
        )
    return read_studio(folder)


@contextmanager
def opened(folder: Path) -> Iterator[OpenStudio]:
    """The studio in ``folder``, open.

    Raises NoStudio, InputError, RecordError, and RecordMissing if the record must first be
    restored from a copy.
    """
    studio = studio_at(folder)
    file = record_file(studio)
    if not file.exists() and (found := copies.copies(folder)):
        raise RecordMissing(found[0])
    with StudioRecord(file) as record:
        record.claim(studio.id)
        yield OpenStudio(studio, record)


def restore(folder: Path, copy: Path | None = None) -> Path:
    """Restore the record from ``copy``, or from the newest copy in the studio folder.

    Returns the copy used. If this computer already has a record, it is kept under another name.
    Raises RecordError if there is no copy, or if it is damaged or another studio's.
    """
    studio = studio_at(folder)
    found = [copy] if copy else copies.copies(folder)
    if not found:
        raise NoStudio(f"{folder / copies.FOLDER} has no copy of the record")
    copies.restore(found[0], record_file(studio), studio.id)
    return found[0]
