"""Checks one workbook: its record, pages, answer key and list of answers.

In: the folder of the workbook. Out: findings.
"""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from workbook.errors import Finding
from workbook.inputs.files import read_file
from workbook.pdf.content import PageContent, read_pages
from workbook.pdf.finished import Unreadable
from workbook.preflight.answer_list import list_faults
from workbook.preflight.expected import Expected
from workbook.preflight.jobs import feet
from workbook.preflight.names import name_faults
from workbook.preflight.positions import face_faults, register_faults
from workbook.preflight.record_faults import faults
from workbook.preflight.records import found_in, read, reason
from workbook.record.files import ANSWER_KEY, ANSWERS, KEY, WORKBOOK

_MOST_FAULTS = 100
"""Faults after which a workbook is not compared further: every line would be one more."""


def check_folder(folder: Path, thorough: bool, name: str = "") -> list[Finding]:
    """What is wrong in the folder of one workbook.

    ``name`` names the folder in the findings. Without ``thorough``, nothing is rendered: the
    check covers pages, key code, numbers, boxes, answers, the register of both faces and the
    list of answers.
    """
    name = name or folder.resolve().name
    record = read(folder)
    if isinstance(record, str):
        return [Finding(name, KEY, 0, record)]
    return check_files(folder, record, thorough, name)


def check_files(folder: Path, record: Expected, thorough: bool, name: str) -> list[Finding]:
    """What is wrong in the files of a workbook whose record has been read, or just made."""
    found = found_in(name, KEY, islice(faults(record), _MOST_FAULTS))
    if len(found) == _MOST_FAULTS:
        return found
    files: dict[str, bytes] = {}
    pages: dict[str, list[PageContent]] = {}
    for file in (WORKBOOK, ANSWER_KEY, ANSWERS):
        try:
            data = read_file(folder / file)
            drawn = read_pages(data)
        except (OSError, Unreadable) as error:
            found.append(Finding(name, file, 0, f"cannot be read: {reason(error)}"))
            continue
        if wrong := _foreign(record, drawn):
            found.append(Finding(name, file, 0, wrong))
            continue
        files[file], pages[file] = data, drawn
        found += found_in(name, file, _file_faults(record, drawn, file))
    if {WORKBOOK, ANSWER_KEY} <= pages.keys():
        found += found_in(name, ANSWER_KEY, register_faults(pages[WORKBOOK], pages[ANSWER_KEY]))
    if thorough and len(found) < _MOST_FAULTS:
        found += _thorough(name, record, files, pages)
    return list(dict.fromkeys(found))


def _foreign(record: Expected, pages: list[PageContent]) -> str:
    """The fault of a file that belongs to another workbook; "" if it does not."""
    codes = set()
    for foot in filter(None, feet(pages)):
        if foot[2] == record.code:
            return ""
        codes.add(foot[2])
    if not codes:
        return ""
    return (
        f"the key code on its pages is {', '.join(sorted(codes))}, not {record.code}: "
        "it belongs to another workbook"
    )


def _file_faults(record: Expected, pages: list[PageContent], file: str) -> list[tuple[int, str]]:
    if file == ANSWERS:
        return list(list_faults(record, pages))
    return list(face_faults(record, pages, file == ANSWER_KEY))


def _thorough(
    name: str, record: Expected, files: dict[str, bytes], pages: dict[str, list[PageContent]]
) -> list[Finding]:
    from workbook.preflight.objects import object_faults
    from workbook.preflight.rendered import rendered_faults
    from workbook.preflight.setting import margin_faults, setting_faults
    from workbook.preflight.structure import structure_faults

    found = []
    for file, data in list(files.items()):
        try:
            found += found_in(name, file, object_faults(data))
            found += found_in(name, file, structure_faults(data))
            found += found_in(name, file, name_faults(record, data, file))
        except Unreadable as error:
            found.append(Finding(name, file, 0, f"it is not a valid PDF: {error}"))
            del files[file]  # what cannot be read is not rendered
    if {WORKBOOK, ANSWER_KEY} <= files.keys():
        found += [
            Finding(name, ANSWER_KEY if answered else WORKBOOK, page, what)
            for answered, page, what in rendered_faults(record, files[WORKBOOK], files[ANSWER_KEY])
        ]
    for file, faults_of in ((WORKBOOK, setting_faults), (ANSWER_KEY, margin_faults)):
        if file in files:
            found += found_in(name, file, faults_of(record, files[file], pages[file]))
    return found
