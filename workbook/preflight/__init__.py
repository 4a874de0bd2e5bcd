"""Preflight: what a build wrote is read again and checked.

In: a folder. Out: findings, none when all is well. ``content``, ``record``, ``places``
and ``answer_list`` take milliseconds and are part of every build; ``objects``, ``seen``,
``jobs`` and ``sheet`` take their time.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from workbook.errors import Finding
from workbook.pdf.content import PageContent, read_pages
from workbook.pdf.finished import Unreadable
from workbook.preflight.answer_list import list_faults
from workbook.preflight.jobs import feet
from workbook.preflight.positions import face_faults, register_faults
from workbook.preflight.record import Record, faults, read_record

WORKBOOK, ANSWER_KEY, ANSWERS = "workbook.pdf", "answer-key.pdf", "answers.pdf"
RECORD = "key.json"
ALL_WORKBOOKS, ALL_KEYS = "all-workbooks.pdf", "all-answer-keys.pdf"
MARK_TABLE, MARK_SHEET = "mark-sheet.csv", "mark-sheet.pdf"


def folders(root: Path) -> list[Path]:
    """Every folder with a ``key.json``: ``root`` or below it, none that is hidden."""
    return sorted(
        path.parent
        for path in root.rglob(RECORD)
        if not any(part.startswith(".") for part in path.relative_to(root).parts)
    )


def check_folder(folder: Path, thorough: bool, name: str = "") -> list[Finding]:
    """What is wrong in the folder of one workbook; ``name`` stands for it in the findings.

    Without ``thorough``, what can be told without rendering: pages, key code,
    numbers, boxes, answers, both faces in register, the list of answers.
    """
    name = name or folder.resolve().name
    record = _record(folder)
    if isinstance(record, str):
        return [Finding(name, RECORD, 0, record)]
    found = _found(name, RECORD, faults(record))
    files: dict[str, bytes] = {}
    pages: dict[str, list[PageContent]] = {}
    for file in (WORKBOOK, ANSWER_KEY, ANSWERS):
        try:
            files[file] = (folder / file).read_bytes()
            pages[file] = read_pages(files[file])
        except (OSError, Unreadable) as error:
            found.append(Finding(name, file, 0, f"cannot be read: {_why(error)}"))
            continue
        codes = {foot[2] for foot in feet(pages[file]) if foot}
        if codes and record.code not in codes:
            found.append(
                Finding(
                    name,
                    file,
                    0,
                    f"the key code {record.code} is not on its pages, "
                    f"but {', '.join(sorted(codes))}: it is another workbook's",
                )
            )
            del files[file], pages[file]
            continue
        found += _found(
            name,
            file,
            list_faults(record, pages[file])
            if file == ANSWERS
            else face_faults(record, pages[file], file == ANSWER_KEY),
        )
    if {WORKBOOK, ANSWER_KEY} <= pages.keys():
        found += _found(name, ANSWER_KEY, register_faults(pages[WORKBOOK], pages[ANSWER_KEY]))
    if thorough:
        found += _thorough(name, record, files)
    return list(dict.fromkeys(found))


def check_jobs(root: Path) -> list[Finding]:
    """What is wrong in the print jobs and the mark sheets of a build; [] where there are none.

    The print jobs are compared with each other alone: they may be older than the workbooks,
    for a build of some students leaves them as they are.
    """
    from workbook.preflight.jobs import job_faults, match_faults
    from workbook.preflight.mark_sheet import paper_faults, read_table, table_faults
    from workbook.preflight.objects import object_faults

    name, found, read = root.resolve().name, [], {}
    for file in (ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET):
        if not (root / file).exists():
            continue
        try:
            data = (root / file).read_bytes()
            if file == MARK_TABLE:
                read[file] = read_table(data)
                found += _found(name, file, table_faults(read[file]))
                continue
            found += _found(name, file, object_faults(data))
            pages = read_pages(data)
            read[file] = pages if file == MARK_SHEET else feet(pages)
            if file != MARK_SHEET:
                found += _found(name, file, job_faults(read[file]))
        except (OSError, Unreadable) as error:
            found.append(Finding(name, file, 0, f"cannot be read: {_why(error)}"))
    if {ALL_WORKBOOKS, ALL_KEYS} <= read.keys():
        found += _found(name, ALL_KEYS, match_faults(read[ALL_WORKBOOKS], read[ALL_KEYS]))
    if {MARK_TABLE, MARK_SHEET} <= read.keys():
        found += _found(name, MARK_SHEET, paper_faults(read[MARK_TABLE], read[MARK_SHEET]))
    return found


def outdated(root: Path) -> str:
    """What a build of some students has left older than their workbooks; "" for nothing."""
    from workbook.preflight.mark_sheet import read_table

    try:
        listed = {line.code for line in read_table((root / MARK_TABLE).read_bytes())}
    except (OSError, Unreadable):
        return ""
    records = [(folder, _record(folder)) for folder in folders(root)]
    newer = [
        f"{folder.relative_to(root).as_posix()} ({record.code})"
        for folder, record in records
        if isinstance(record, Record) and record.code not in listed
    ]
    return (
        newer
        and (
            f"{MARK_TABLE}, {MARK_SHEET} and the print jobs do not have "
            f"{', '.join(newer)}: build the whole roster to renew them"
        )
    ) or ""


def missing(root: Path) -> list[Finding]:
    """What a build wrote and is there no more: a ``key.json`` beside its workbook; the folder of
    a workbook that the mark sheet lists.
    """
    from workbook.preflight.mark_sheet import read_table

    name = root.resolve().name
    lone = sorted(
        path.parent
        for path in root.rglob(WORKBOOK)
        if not any(part.startswith(".") for part in path.relative_to(root).parts)
        and not path.with_name(RECORD).exists()
    )
    found = [
        Finding(
            folder.relative_to(root).as_posix() if folder != root else name,
            RECORD,
            0,
            "is missing; build the workbook again",
        )
        for folder in lone
    ]
    if not (root / MARK_TABLE).exists():
        return found
    try:
        listed = [line.code for line in read_table((root / MARK_TABLE).read_bytes())]
    except (OSError, Unreadable):
        return found  # told by check_jobs
    there = {record.code for record in map(_record, folders(root)) if isinstance(record, Record)}
    gone = [code for code in listed if code not in there]
    if gone and not lone and there <= set(listed):  # else the table is older: see ``outdated``
        found.append(
            Finding(
                name,
                MARK_TABLE,
                0,
                f"lists {', '.join(gone)}; no folder here has a workbook with that key code",
            )
        )
    return found


def _record(folder: Path) -> Record | str:
    try:
        return read_record((folder / RECORD).read_text("utf-8"))
    except (OSError, UnicodeDecodeError, Unreadable) as error:
        return f"cannot be read: {_why(error)}"


def _why(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)


def _thorough(name: str, record: Record, files: dict[str, bytes]) -> list[Finding]:
    from workbook.preflight.objects import object_faults
    from workbook.preflight.rendered import seen_faults

    found = []
    for file, data in files.items():
        found += _found(name, file, object_faults(data))
    if {WORKBOOK, ANSWER_KEY} <= files.keys():
        found += [
            Finding(name, ANSWER_KEY if answered else WORKBOOK, page, what)
            for answered, page, what in seen_faults(record, files[WORKBOOK], files[ANSWER_KEY])
        ]
    return found


def _found(name: str, file: str, faults: Iterable[tuple[int, str]]) -> list[Finding]:
    return [Finding(name, file, page, what) for page, what in faults]
