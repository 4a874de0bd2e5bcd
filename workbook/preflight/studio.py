"""Checks the files for a whole studio: print jobs, mark sheets, missing files.

In: the folder of a build. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from workbook.errors import Finding
from workbook.inputs.files import read_file
from workbook.inputs.natural_order import natural_path
from workbook.pdf.content import read_pages
from workbook.pdf.finished import Unreadable
from workbook.preflight.jobs import Foot, feet, job_faults, match_faults
from workbook.preflight.mark_sheet import Line, paper_faults, read_table, table_faults
from workbook.preflight.records import codes, found_in, hidden, reason
from workbook.record.files import ALL_KEYS, ALL_WORKBOOKS, KEY, MARK_SHEET, MARK_TABLE, WORKBOOK


def check_jobs(root: Path) -> list[Finding]:
    """What is wrong in the print jobs and the mark sheet of a build; [] if it has neither.

    The print jobs are compared only with each other. They may be older than the workbooks:
    a build for some students leaves them as they are if it cannot read what they need.
    """
    return [*_job_findings(root), *_mark_sheet_findings(root)]


def _job_findings(root: Path) -> Iterator[Finding]:
    from workbook.preflight.objects import object_faults
    from workbook.preflight.structure import structure_faults

    name, jobs = root.resolve().name, list[list[Foot]]()
    for file in (ALL_WORKBOOKS, ALL_KEYS):
        if not (root / file).exists():
            continue
        try:
            data = read_file(root / file)
            yield from found_in(name, file, object_faults(data))
            yield from found_in(name, file, structure_faults(data))
            job = list(feet(read_pages(data)))
        except (OSError, Unreadable) as error:
            yield Finding(name, file, 0, f"cannot be read: {reason(error)}")
            continue
        jobs.append(job)
        yield from found_in(name, file, job_faults(job))
    if len(jobs) == 2:
        yield from found_in(name, ALL_KEYS, match_faults(*jobs))


def _mark_sheet_findings(root: Path) -> Iterator[Finding]:
    from workbook.preflight.objects import object_faults
    from workbook.preflight.structure import structure_faults

    name, table = root.resolve().name, None
    try:
        table = read_table(read_file(root / MARK_TABLE))
        yield from found_in(name, MARK_TABLE, table_faults(table))
    except FileNotFoundError:
        pass
    except (OSError, Unreadable) as error:
        yield Finding(name, MARK_TABLE, 0, f"cannot be read: {reason(error)}")
    try:
        data = read_file(root / MARK_SHEET)
        yield from found_in(name, MARK_SHEET, object_faults(data))
        yield from found_in(name, MARK_SHEET, structure_faults(data))
        pages = read_pages(data)
    except FileNotFoundError:
        return
    except (OSError, Unreadable) as error:
        yield Finding(name, MARK_SHEET, 0, f"cannot be read: {reason(error)}")
        return
    if table is not None:
        yield from found_in(name, MARK_SHEET, paper_faults(table, pages))


def outdated(root: Path) -> str:
    """A sentence about workbooks newer than the studio's files; "" if there are none.

    A build for some students leaves the files for the whole studio as they are if it cannot
    read the workbooks of the others.
    """
    listed = _listed(root)
    if listed is None:
        return ""
    newer = [
        f"{folder.relative_to(root).as_posix()} ({code})"
        for folder, code in codes(root).items()
        if code and code not in listed
    ]
    if not newer:
        return ""
    return (
        f"{MARK_TABLE}, {MARK_SHEET} and the print jobs do not include "
        f"{', '.join(newer)}: build the whole roster to update them"
    )


def missing(root: Path) -> list[Finding]:
    """Files that a build wrote and that are missing.

    These are a ``key.json`` whose workbook is still there, or the folder of a workbook that
    the mark sheet lists.
    """
    name = root.resolve().name
    lone = sorted(
        (
            path.parent
            for path in root.rglob(WORKBOOK)
            if not hidden(path, root) and not path.with_name(KEY).exists()
        ),
        key=natural_path,
    )
    found = [
        Finding(
            folder.relative_to(root).as_posix() if folder != root else name,
            KEY,
            0,
            "is missing; build the workbook again",
        )
        for folder in lone
    ]
    listed = _listed(root) or {}
    there = set(filter(None, codes(root).values()))
    gone = [f"{who} ({code})" for code, who in listed.items() if code not in there]
    if gone and not lone and there <= set(listed):  # otherwise the table is old: ``outdated``
        found.append(
            Finding(
                name,
                MARK_TABLE,
                0,
                f"lists {'; '.join(gone)}, but no workbook here has that key code; build it again",
            )
        )
    return found


def _listed(root: Path) -> dict[str, str] | None:
    """The student and title of each workbook on the mark sheet, by key code.

    None if the mark sheet cannot be read; ``check_jobs`` then reports why.
    """
    try:
        lines: list[Line] = read_table(read_file(root / MARK_TABLE))
    except (OSError, Unreadable):
        return None
    return {line.code: line.name for line in lines}
