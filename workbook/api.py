"""The public names, for programs: what the commands do, and how answers are judged.

>>> from workbook import build, judge, read_record

``workbook`` re-exports everything here. Anything not listed in ``__all__`` may change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from workbook import preflight
from workbook.builds.books import Built
from workbook.builds.print_jobs import Printed, booklets, print_job
from workbook.builds.recovery import reading
from workbook.builds.study_pages import study_pages
from workbook.builds.workbooks import Progress, build
from workbook.cancel import Cancel, Cancelled
from workbook.errors import (
    CheckFailed,
    EngraverMissing,
    EngravingError,
    Finding,
    InputError,
    OutputError,
    Problem,
    WorkbookError,
)
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.marking.points import points
from workbook.record.model import Blank, Item, Marking, Record
from workbook.record.reader import Unreadable, read_record

__all__ = [
    "Blank",
    "Built",
    "Cancel",
    "Cancelled",
    "CheckFailed",
    "EngraverMissing",
    "EngravingError",
    "Finding",
    "InputError",
    "Item",
    "Marking",
    "Outcome",
    "OutputError",
    "Printed",
    "Problem",
    "Progress",
    "Record",
    "Unreadable",
    "WorkbookError",
    "booklets",
    "build",
    "check",
    "judge",
    "points",
    "print_job",
    "read_record",
    "study_pages",
]


def check(
    folder: Path | str, *, notice: Callable[[str], object] | None = None
) -> Iterator[Finding]:
    """Check the files of a build, and report what is wrong with them.

    A build that was interrupted half way is finished first.

    Args:
        folder: The folder of a whole build, or of one student.
        notice: Called with sentences that the teacher should read.

    Returns:
        The findings, one after the other; none if all is well.

    Raises:
        InputError: There is no workbook in the folder.
        OutputError: An interrupted build cannot be finished.
        WorkbookError: Files were replaced in the meantime.
    """
    root = Path(folder)
    steady = reading([root], notice)
    found = preflight.folders(root)
    if not found:
        what = "there is no key.json in it or below it;"
        raise InputError([Problem(str(root), "", what, "name the folder of a build")])
    for place in found:
        name = place.relative_to(root).as_posix() if place != root else root.resolve().name
        yield from preflight.check_folder(place, True, name)
    yield from preflight.missing(root)
    yield from preflight.check_jobs(root)
    steady.check()
