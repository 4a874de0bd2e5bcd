"""The only way in which marks enter the record, and what they add up to.

In: outcomes by blank, however they were found. Out: marks in the record, and a summary in
words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from workbook.exercises.families import FAMILIES
from workbook.inputs.messages import any_of
from workbook.marking.outcome import Outcome
from workbook.marking.points import points
from workbook.music.keys import parse_key
from workbook.music.naming import ENGLISH, Naming
from workbook.record.model import Item, Marking, Record
from workbook.record.outline import Outline
from workbook.studio_record.model import Mark, Way
from workbook.weeks.studios import OpenStudio
from workbook.weeks.wording import sheet_naming

_MOST_NAMED = 8
"""The most boxes that a sentence names; of more it gives the number."""
_SIDES = {"right": "right hand", "left": "left hand", "both": "hands together"}


@dataclass(frozen=True)
class SectionPoints:
    """The points of a section; ``points`` is None while boxes in it are not marked."""

    letter: str
    title: str
    points: float | None
    full: int


@dataclass(frozen=True)
class Summary:
    """What is recorded of a sheet.

    ``wrong`` has a line for each exercise with a box that is wrong or empty. ``not_marked`` counts
    the boxes without a mark. ``points`` is None while a section has none.
    """

    student: str
    title: str
    code: str
    sections: tuple[SectionPoints, ...]
    wrong: tuple[str, ...]
    not_marked: int
    full: int

    @property
    def points(self) -> float | None:
        found = [section.points for section in self.sections if section.points is not None]
        return sum(found) if len(found) == len(self.sections) else None


def enter(
    studio: OpenStudio,
    code: str,
    outcomes: Mapping[str, Outcome],
    way: Way,
    *,
    given: Mapping[str, str] | None = None,
    who: str = "",
) -> Summary:
    """Record outcomes by blank id, and what was written there; returns the sheet's summary.

    Raises RecordError if the key code is not known, ValueError for a blank that the sheet
    does not have.
    """
    known = {blank.id for blank in studio.record.workbook(code).blanks}
    if unknown := sorted(outcomes.keys() - known):
        raise ValueError(f"{code} has no blank {', '.join(unknown)}")
    texts = given or {}
    marks = {blank: Mark(outcome, texts.get(blank, "")) for blank, outcome in outcomes.items()}
    with studio.record.together():
        studio.record.mark(code, marks, way, who=who)
        return summary(studio, code)


def summary(studio: OpenStudio, code: str) -> Summary:
    """What is recorded of a sheet. Raises RecordError if the key code is not known."""
    workbook = studio.record.workbook(code)
    sheet = studio.record.sheet(code)
    outcomes = {blank: mark.outcome for blank, mark in studio.record.marks(code).items()}
    entered = studio.record.points(code)
    naming = sheet_naming(studio, code)
    sections = tuple(
        SectionPoints(
            section.letter,
            section.title,
            entered.get(
                section.letter,
                section_points(section.items, rule_of(studio, section.marking), outcomes),
            ),
            sum(item.points for item in section.items),
        )
        for section in workbook.sections
    )
    wrong = filter(None, (wrong_line(item, outcomes, naming) for item in workbook.items))
    return Summary(
        sheet.student,
        workbook.title,
        code,
        sections,
        tuple(wrong),
        _not_marked(workbook, outcomes, entered),
        workbook.points,
    )


def rule_of(studio: OpenStudio, own: Marking) -> Marking:
    """How a section is marked: by the studio's rule, or else by the sheet's own."""
    return Marking(studio.studio.rule) if studio.studio.rule else own


def _not_marked(
    workbook: Record, outcomes: Mapping[str, Outcome], entered: Mapping[str, float]
) -> int:
    return sum(
        outcomes.get(blank.id, Outcome.NOT_MARKED) == Outcome.NOT_MARKED
        for section in workbook.sections
        if section.letter not in entered
        for item in section.items
        for blank in item.blanks
    )


class _Marked(Protocol):
    """What is needed of an exercise to add up its points."""

    @property
    def points(self) -> int: ...
    @property
    def ids(self) -> tuple[str, ...]: ...


def sheet_points(
    studio: OpenStudio,
    outline: Outline,
    outcomes: Mapping[str, Outcome],
    entered: Mapping[str, float],
) -> float | None:
    """The points of a sheet, or None while a section has none.

    ``entered`` has the points of sections that were typed, by letter.
    """
    total = 0.0
    for section in outline.sections:
        rule = rule_of(studio, section.marking)
        found = entered.get(section.letter, section_points(section.items, rule, outcomes))
        if found is None:
            return None
        total += found
    return total


def section_points(
    items: Sequence[_Marked], rule: Marking, outcomes: Mapping[str, Outcome]
) -> float | None:
    """The points of a section's items, or None if a box of one is not marked."""
    total = 0.0
    for item in items:
        found = [outcomes.get(name, Outcome.NOT_MARKED) for name in item.ids]
        if Outcome.NOT_MARKED in found:
            return None
        total += points(rule, item.points, found) if found else item.points
    return total


def wrong_line(item: Item, outcomes: Mapping[str, Outcome], naming: Naming = ENGLISH) -> str:
    """``"5. Scale fingering, B♭ major, left hand: 3 of 8 boxes wrong, 1 empty"``, or ""."""
    found = [outcomes.get(blank.id) for blank in item.blanks]
    wrong, empty = found.count(Outcome.WRONG), found.count(Outcome.EMPTY)
    if not wrong and not empty:
        return ""
    if wrong:
        told = f"{wrong} of {len(found)} boxes wrong" + (f", {empty} empty" if empty else "")
    else:
        told = f"{empty} of {len(found)} boxes empty"
    return f"{item.number}. {item_name(item, naming)}: {told}"


def item_name(item: Item, naming: Naming = ENGLISH) -> str:
    """The family, key and hand of an exercise: ``"Scale fingering, B♭ major, left hand"``."""
    family = FAMILIES.get(item.family)
    parts = [family.title_in(naming) if family else item.family]
    if item.key:
        parts.append(naming.key(parse_key(item.key), item.form))
    if family is None or family.by == "hand":
        parts.append(_SIDES.get(item.hand, item.hand))
    return ", ".join(parts)


def boxes_named(names: Sequence[str]) -> str:
    """``box 1.2``, ``boxes 1.2 and 1.3``, ``12 boxes``."""
    if len(names) > _MOST_NAMED:
        return f"{len(names)} boxes"
    return f"{'box' if len(names) == 1 else 'boxes'} {any_of(list(names), 'and')}"
