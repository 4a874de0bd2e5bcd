"""Returned PDF files, judged and entered.

In: files. Out: marks in the record, a summary of each sheet, and what could not be read.

A file may be read again, beside new ones: a box in which nothing new is written keeps the mark
that the teacher may have given it since.
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
from workbook.studio_record.model import Mark, Way
from workbook.weeks.marks import Summary, boxes_named, enter
from workbook.weeks.studios import OpenStudio


@dataclass(frozen=True)
class Entered:
    """The summaries of the sheets in the files, sentences on what could not be read, and on marks
    that a file changed or left as they are.
    """

    summaries: tuple[Summary, ...]
    unread: tuple[str, ...]
    notes: tuple[str, ...]


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
    summaries, notes = [], []
    for code, sheet in sheets.items():
        if any(sheet.given.values()):
            found, told = _enter(studio, sheet)
            summaries.append(found)
            notes += told
        else:
            unread.append(f"{code}: no box is filled in, so nothing was entered")
    return Entered(tuple(summaries), tuple(unread), tuple(notes))


def _enter(studio: OpenStudio, sheet: Returned) -> tuple[Summary, list[str]]:
    code, workbook = sheet.code, studio.record.workbook(sheet.code)
    outcomes: dict[str, Outcome] = {}
    for item in workbook.items:
        judged = judge(item, sheet.given)
        outcomes |= {
            blank.id: judged[blank.id] for blank in item.blanks if blank.page in sheet.pages
        }
    with studio.record.together():
        marks, read = studio.record.marks(code), _read_before(studio, code)
        other = [name for name, one in outcomes.items() if _differs(marks.get(name), one)]
        kept = [name for name in other if read.get(name) == sheet.given.get(name, "")]
        told = []
        if changed := [name for name in other if name not in kept]:
            told.append(f"{code}: the typed answers change the marks of {boxes_named(changed)}.")
        if kept:
            told.append(
                f"{code} was read before; "
                f"later changes to the marks of {boxes_named(kept)} are kept."
            )
        new = {name: one for name, one in outcomes.items() if name not in kept}
        given = {name: text for name, text in sheet.given.items() if text and name in new}
        return enter(studio, code, new, Way.FORM, given=given), told


def _read_before(studio: OpenStudio, code: str) -> dict[str, str]:
    """What stood in the boxes of a sheet when its form was last read, by blank id."""
    return {
        name: mark.given
        for marking in studio.record.history(code)
        if marking.way == Way.FORM
        for name, mark in marking.marks.items()
    }


def _differs(mark: Mark | None, outcome: Outcome) -> bool:
    return mark is not None and mark.outcome not in (outcome, Outcome.NOT_MARKED)
