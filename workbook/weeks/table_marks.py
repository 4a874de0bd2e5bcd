"""Points from a table, entered in the same way as all marks.

In: a table of points by section. Out: points in the record, a summary of each sheet, and what in
the table does not count.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from workbook.errors import InputError, listed_lines
from workbook.inputs.messages import any_of
from workbook.marking.points_table import TOTAL, TablePoints, over, read_points
from workbook.studio_record.model import Way
from workbook.weeks.codes import UnknownCode, known_code
from workbook.weeks.marks import Summary, summary
from workbook.weeks.studios import OpenStudio


@dataclass(frozen=True)
class EnteredTable:
    """The summaries of the sheets with points, and sentences on what does not count."""

    summaries: tuple[Summary, ...]
    notes: tuple[str, ...]


def enter_table(studio: OpenStudio, path: Path, who: str = "") -> EnteredTable:
    """Enter the points of a table; sheets without any are left as they are.

    Raises InputError with every problem, before anything is entered.
    """
    table = read_points(path)
    log, codes = table.log, dict[str, TablePoints]()
    notes = [f"{path.name}: {note}" for note in table.notes]
    for one in table.sheets:
        typed = bool(one.points) or one.total is not None
        try:
            code = known_code(studio.record, one.code, typed and not log.full)
        except UnknownCode as error:
            if typed:
                log.add(one.row, str(error))
            continue
        for words in _faults(studio, code, one):
            log.add(one.row, words)
        if code in codes:
            log.add(one.row, f"the key code {code} appears more than once; keep one of its rows")
        if typed:
            codes[code] = one
    if log:
        raise InputError(log.problems)
    found: list[Summary] = []
    remarks: list[str] = []
    with studio.record.together():
        for code, one in codes.items():
            # a mark sheet printed from the record brings back what is known already
            before = {part.letter: part.points for part in summary(studio, code).sections}
            points = {
                letter: value for letter, value in one.points.items() if before.get(letter) != value
            }
            studio.record.mark(code, {}, Way.TABLE, points=points, who=who)
            after = summary(studio, code)
            remarks += [f"{path.name}, row {one.row}: {words}" for words in _remarks(one, after)]
            found.append(after)
    told = [*remarks, *notes]  # those on what was entered are never the ones left out
    return EnteredTable(tuple(found), tuple(listed_lines(told)))


def _faults(studio: OpenStudio, code: str, one: TablePoints) -> Iterator[str]:
    sections = {
        section.letter: sum(item.points for item in section.items)
        for section in studio.record.workbook(code).sections
    }
    full: dict[str, float] = {**sections, TOTAL: sum(sections.values())}
    for name, value in one.full.items():
        if name in full and value != full[name]:
            yield (
                f'column "{name} of" has {value:g}, not {full[name]:g}; write the student\'s '
                f'points under "{name}"'
            )
    for letter in sorted(one.points.keys() - sections.keys()):
        yield f"{code} has no section {letter}; its sections are {any_of(list(sections), 'and')}"
    known = [(letter, value) for letter, value in one.points.items() if letter in sections]
    yield from over((letter, value, sections[letter]) for letter, value in known)
    if one.total is not None and not one.points:
        yield "there is a total but no points by section; write the points of each section"


def _remarks(one: TablePoints, after: Summary) -> Iterator[str]:
    if one.total is None or after.points is None or one.total == after.points:
        return
    yield f"the total of {after.code} is {after.points:g}, not {one.total:g}"
