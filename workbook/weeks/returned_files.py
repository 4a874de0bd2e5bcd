"""Returned PDF files, judged and entered.

In: files. Out: marks in the record, a summary of each sheet, and what could not be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.inputs.files import read_file
from workbook.inputs.messages import reason
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.marking.returned import Returned, read_returned
from workbook.pdf.finished import Unreadable
from workbook.record.model import Record
from workbook.studio_record.model import Way
from workbook.weeks.marks import Summary, enter
from workbook.weeks.studios import OpenStudio


@dataclass(frozen=True)
class Entered:
    """The summaries of the sheets in the files, and sentences on what could not be read."""

    summaries: tuple[Summary, ...]
    unread: tuple[str, ...]


def enter_files(studio: OpenStudio, files: Sequence[Path]) -> Entered:
    """Enter what was typed into ``files``; the pages of a sheet that are missing stay unmarked.

    Raises InputError for files that are not readable PDFs, before anything is entered.
    """
    problems: list[Problem] = []
    unread: list[str] = []
    sheets: dict[str, Returned] = {}

    def known(code: str) -> Record | None:
        return studio.record.workbook(code) if studio.record.knows(code) else None

    for file in files:
        try:
            read = read_returned(read_file(file), known)
        except OSError as error:
            problems.append(Problem(str(file), "", f"cannot be read: {reason(error)};"))
            continue
        except Unreadable:
            problems.append(Problem(str(file), "", "is not a readable PDF;", "save it again"))
            continue
        unread += [f"{file.name}, {line}" for line in read.unread]
        for code, sheet in read.sheets.items():
            whole = sheets.setdefault(code, sheet)
            if whole is not sheet:
                new = {name: text for name, text in sheet.given.items() if text}
                other = [
                    name
                    for name, text in new.items()
                    if whole.given.get(name) not in ("", None, text)
                ]
                unread += [
                    f"{file.name}, {code}: box {name} was filled in differently in another file, "
                    "whose answer is used"
                    for name in other
                ]
                whole.given |= {name: text for name, text in new.items() if name not in other}
                whole.pages |= sheet.pages
    if problems:
        raise InputError(problems)
    return Entered(tuple(_enter(studio, sheet) for sheet in sheets.values()), tuple(unread))


def _enter(studio: OpenStudio, sheet: Returned) -> Summary:
    workbook = studio.record.workbook(sheet.code)
    outcomes: dict[str, Outcome] = {}
    for item in workbook.items:
        judged = judge(item, sheet.given)
        outcomes |= {
            blank.id: judged[blank.id] for blank in item.blanks if blank.page in sheet.pages
        }
    given = {name: text for name, text in sheet.given.items() if text and name in outcomes}
    return enter(studio, sheet.code, outcomes, Way.FORM, given=given)
