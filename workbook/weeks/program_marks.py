"""Marks from other programs, entered in the same way as all others.

In: JSON text (see ``marking.from_json``). Out: marks in the record, all sheets or none.
"""

from __future__ import annotations

from collections.abc import Mapping

from workbook.errors import MOST_LISTED, InputError, Problem
from workbook.inputs.messages import quoted
from workbook.marking.from_json import GivenMarks, read_json
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.studio_record.model import Way
from workbook.weeks.codes import UnknownCode, known_code
from workbook.weeks.marks import Summary, enter
from workbook.weeks.studios import OpenStudio


def enter_json(studio: OpenStudio, text: str, name: str) -> list[Summary]:
    """Enter the marks in ``text``, of the file ``name``; returns a summary of each sheet.

    Raises InputError with every problem, before anything is entered.
    """
    sheets, problems = read_json(text, name)
    found = []
    seen: dict[tuple[str, str], Outcome] = {}
    for number, one in enumerate(sheets, 1):
        if not one.code:
            continue
        try:
            suggest = len(problems) < MOST_LISTED
            code, outcomes = _outcomes(studio, one, suggest)
            _compare(code, outcomes, seen)
        except (UnknownCode, ValueError) as error:
            problems.append(Problem(name, f"sheet {number}", str(error)))
        else:
            found.append((one, code, outcomes))
    if problems:
        raise InputError(problems)
    with studio.record.together():
        return [
            enter(studio, code, outcomes, Way(one.way), given=one.given, who=one.by)
            for one, code, outcomes in found
        ]


def _compare(
    code: str, outcomes: Mapping[str, Outcome], seen: dict[tuple[str, str], Outcome]
) -> None:
    """Add outcomes to those of sheets above; raises ValueError if they differ."""
    for blank, outcome in outcomes.items():
        above = seen.setdefault((code, blank), outcome)
        if above != outcome:
            raise ValueError(
                f"{blank} of {code} is “{above}” in an earlier entry, “{outcome}” here; keep one"
            )


def _outcomes(studio: OpenStudio, one: GivenMarks, suggest: bool) -> tuple[str, dict[str, Outcome]]:
    """The key code and the outcomes, those of texts without one judged."""
    code = known_code(studio.record, one.code, suggest)
    workbook = studio.record.workbook(code)
    known = {blank.id for blank in workbook.blanks}
    if unknown := sorted({*one.outcomes, *one.given} - known):
        raise ValueError(f"{code} has no blank {quoted(', '.join(unknown))}")
    found = dict(one.outcomes)
    for item in workbook.items:
        given = {blank.id: one.given[blank.id] for blank in item.blanks if blank.id in one.given}
        if given:
            judged = judge(item, given)
            found |= {name: judged[name] for name in given if name not in found}
    return code, found
