"""The end of a large build: print jobs and mark sheet from the files in the store.

In: the workbooks in their order, and the store that has their files. Out: print jobs and mark
sheets on paper in volumes, so that memory does not grow with their number; one table of marks;
and sentences about what the teacher should know.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import PurePosixPath

from workbook.builds.batches import Done
from workbook.builds.storage import Storage
from workbook.builds.studio_files import PrintJobs, mark_sheet_pdf, mark_table_files
from workbook.cancel import Cancel
from workbook.errors import WorkbookError
from workbook.pages.paper import Paper
from workbook.planning.dealing import KEY_CODE
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, MARK_SHEET, MARK_TABLE
from workbook.temporary import temporary

VOLUME = 2000
"""Workbooks in one print job; beyond that there are several, numbered from 001."""
_FILES = (ALL_WORKBOOKS, ALL_KEYS, MARK_SHEET)
_VOLUME_NAME = re.compile(
    "|".join(rf"{PurePosixPath(file).stem}(-\d{{3,}})?\.pdf" for file in _FILES)
)
_MOST_NAMED = 5
"""Names in one sentence."""


def join(
    books: Sequence[Done],
    store: Storage,
    paper: Paper,
    tell: Callable[[str, int, int], object],
    cancel: Cancel,
) -> str:
    """Make the print jobs and the mark sheet; returns what the teacher should read, or "".

    Calls ``tell`` with "Joining", the number done and the total. Raises WorkbookError if a file of
    a workbook is missing, OutputError, and Cancelled.
    """
    volumes = list(_volumes(books))
    read: dict[str, bytes | None] = {}
    told: list[str] = []
    store.remove_parts("")
    with store.together(read, told.append) as new:
        done = 0
        for ending, volume in volumes:
            told.append(_write_volume(volume, ending, store, new, paper, cancel))
            done += len(volume)
            tell("Joining", done, len(books))
        before = read[MARK_TABLE] = store.find(MARK_TABLE)
        every = [book.marked for book in books]
        files, notice = mark_table_files(every, before, lambda name: store.find(name) is not None)
        for file, data in files.items():
            new.write(file, data)
    written = {_named(file, ending) for ending, _ in volumes for file in _FILES}
    others = _others(store.names(), {book.code for book in every}, written)
    return "\n".join(dict.fromkeys(filter(None, [notice, *told, *others])))


def _volumes(books: Sequence[Done]) -> Iterator[tuple[str, Sequence[Done]]]:
    """The workbooks of each volume, with the ending of its files' names."""
    for number, start in enumerate(range(0, len(books), VOLUME), 1):
        yield f"-{number:03}" if len(books) > VOLUME else "", books[start : start + VOLUME]


def _write_volume(
    books: Sequence[Done],
    ending: str,
    store: Storage,
    new: Storage,
    paper: Paper,
    cancel: Cancel,
) -> str:
    """Write the print jobs and the mark sheet of some workbooks in ``store`` into ``new``.

    Returns a notice, or "".
    """
    with temporary() as folder:
        with PrintJobs(folder) as jobs:
            for book in books:
                cancel.check()
                jobs.add(book.marked, book.paper, partial(_read, store, book.marked.code))
            told = jobs.finish()
        for file in (ALL_WORKBOOKS, ALL_KEYS):
            new.write(_named(file, ending), (folder / file).read_bytes())
    sheet = mark_sheet_pdf([book.marked for book in books], paper)
    new.write(_named(MARK_SHEET, ending), sheet)
    return told


def _named(file: str, ending: str) -> str:
    """``"all-workbooks-002.pdf"``."""
    path = PurePosixPath(file)
    return f"{path.stem}{ending}{path.suffix}"


def _read(store: Storage, code: str, file: str) -> bytes:
    data = store.find(f"{code}/{file}")
    if data is None:
        raise WorkbookError(
            f"{code}/{file} is missing; delete the folder {code} and run the command again"
        )
    return data


def _others(names: list[str], codes: set[str], written: set[str]) -> Iterator[str]:
    """Sentences about workbooks and volumes in the store that are not part of this build."""
    books = [name for name in names if KEY_CODE.fullmatch(name) and name not in codes]
    files = [name for name in names if _VOLUME_NAME.fullmatch(name) and name not in written]
    for what, found in (("Workbooks", books), ("Print jobs and mark sheets", files)):
        if found:
            yield (
                f"{what} from other builds are there, too; delete those that you do not need: "
                f"{_some(sorted(found))}"
            )


def _some(names: list[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more:,} more" if more > 0 else "")
