"""What is played at an exam: keys and skills drawn for one student.

In: a row and a seed. Out: a plan with the worked exercises that the examiner hears. The skills
are those of the row's level that are played at the keyboard.
"""

from __future__ import annotations

from dataclasses import replace

from workbook.exercises.families import FAMILIES
from workbook.fingering.conventions import Conventions
from workbook.planning.dealing import plan
from workbook.planning.plan import Plan
from workbook.planning.worked import worked
from workbook.studio.roster import Row
from workbook.studio.template_model import Template

PLAYED = (
    "five-finger",
    "scale-fingering",
    "chromatic-scale",
    "primary-chords",
    "inversions",
    "broken-chord",
    "progression",
    "arpeggio",
    "intervals",
)
"""The families that are played, in the order in which an examiner asks for them."""
POINTS = 3
"""The points of a task: one each for notes, fingering and steadiness."""
MOST_TASKS = 4


def played_plan(row: Row, seed: str, fingering: Conventions, tasks: int = 2) -> Plan | None:
    """The plan of what a student plays: ``tasks`` keys for each skill, all answers given.

    None if the level has nothing that is played.
    """
    template = _played(row.template, tasks)
    if not template.sections:
        return None
    made = plan(replace(row, template=template), f"{seed}/played", fingering=fingering)
    sections = tuple(
        replace(
            section,
            items=tuple(
                replace(item, exercise=worked(item.exercise, set())) for item in section.items
            ),
        )
        for section in made.sections
    )
    return replace(made, sections=sections)


def _played(template: Template, tasks: int) -> Template:
    """The sections of a template that are played, each with as many exercises as ``tasks``."""
    own = [section for section in template.sections if section.family in PLAYED]
    own = [section for section in own if FAMILIES[section.family].by == "hand"]
    own.sort(key=lambda section: PLAYED.index(section.family))
    sections = tuple(
        replace(section, count=tasks, given=0, points=POINTS, title=section.title)
        for section in own
    )
    return replace(template, sections=sections)
