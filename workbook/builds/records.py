"""The record of a workbook, made from its plan and its pages.

In: a plan, its pages, the paper. Out: the text of ``key.json``.
"""

from __future__ import annotations

from collections.abc import Iterable

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Place
from workbook.pages.elements import Box, Page, Picture
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan
from workbook.record import from_exercise
from workbook.record.model import Item as RecordItem
from workbook.record.model import Marking, Record, Rect, Section
from workbook.record.writer import record_text

Places = dict[Place, tuple[int, Rect]]
"""Page number and rectangle of each blank of an exercise."""


def key_text(plan: Plan, record: Record) -> str:
    """The text of a workbook's ``key.json``."""
    texts = {item.number: from_exercise.shared(item.exercise) for item in plan.items}
    return record_text(record, texts)


def workbook_record(plan: Plan, pages: list[Page], paper: Paper) -> Record:
    """The record of a workbook."""
    begins: dict[int, int] = {}
    places: dict[int, Places] = {item.number: {} for item in plan.items}
    for number, page in enumerate(pages, 1):
        for element in page.elements:
            if isinstance(element, Box):
                if element.number > 0:
                    places[element.number][element.blank[:4]] = number, element.rect
            elif isinstance(element, Picture):
                begins.setdefault(element.number, number)

    def item(one: Item) -> RecordItem:
        return from_exercise.item(
            one.exercise,
            number=one.number,
            points=one.points,
            page=begins[one.number],
            skill=skill_of(one.exercise),
            places=places[one.number],
        )

    marking = Marking(plan.row.template.marking)
    return record_of(
        plan,
        paper,
        (
            Section(part.letter, part.title, marking, tuple(map(item, part.items)))
            for part in plan.sections
        ),
    )


def record_of(plan: Plan, paper: Paper, sections: Iterable[Section]) -> Record:
    """The record of a plan with these sections."""
    return Record(
        plan.row.student,
        plan.row.template.name,
        plan.row.title,
        plan.form,
        plan.seed,
        plan.code,
        paper.name,
        paper.size,
        plan.points,
        tuple(sections),
    )


def skill_of(exercise: Exercise) -> str:
    """The name of the skill that an exercise trains."""
    family = FAMILIES[exercise.family]
    return family.skill(exercise.settings, exercise.hand, exercise.scale_form)
