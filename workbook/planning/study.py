"""Study pages: every skill of a template in one key, fully worked or partly open.

In: a template, a key and the share of answers to take out. Out: a plan without points.
The same share always takes out the same answers. A larger share takes out all that a smaller
one does and more, so a student can move step by step from reading to knowing.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from random import Random

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise, Request
from workbook.fingering.conventions import Conventions, traditional
from workbook.music.keys import Key
from workbook.music.scales import scale_forms
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.planning.worked import worked
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, Template, combinations, heading

SHARES = (0, 25, 50, 75, 100)
"""The percentages of answers that can be taken out."""


def study(
    template: Template, key: Key, faded: int = 0, fingering: Conventions | None = None
) -> Plan:
    """The study page of a key: one exercise for each section and hand.

    ``faded`` is the percentage of blanks left open in each section. Sections that cannot be made
    in the key are omitted, and so are those in no key and those with nothing to learn by heart.
    """
    made: list[tuple[Section, list[Exercise]]] = []
    for index, section in enumerate(template.sections):
        requests = _requests(section, key, template, fingering or traditional())
        rng = Random(f"{template.name}/{key.ascii}/{index}")
        family = FAMILIES[section.family]
        if requests and family.studied and family.keyed:
            made.append((section, [FAMILIES[section.family].make(r, rng) for r in requests]))
    taken_out = {
        (index, *tag)
        for index, (_, exercises) in enumerate(made)
        for tag in _taken_out(exercises, f"{template.name}/{key.ascii}/{index}", faded)
    }
    sections, count = [], 0
    for index, (section, exercises) in enumerate(made):
        items = []
        for number, exercise in enumerate(exercises):
            count += 1
            open_tags = {tag for i, n, tag in taken_out if (i, n) == (index, number)}
            items.append(Item(count, worked(exercise, open_tags), 0))
        sections.append(
            PlannedSection(
                chr(ord("A") + index % 26), heading(section, template.naming), tuple(items)
            )
        )
    title = template.title + (" – fill in what is missing" if faded else "")
    code = hashlib.sha256(f"{template.name}/{key.ascii}/{faded}".encode()).hexdigest()[:6]
    row = Row("", template, (key,), title, "", 0)
    return Plan(row, "", tuple(sections), code.upper())


def _requests(
    section: Section, key: Key, template: Template, fingering: Conventions
) -> list[Request]:
    """Requests for both hands, together if possible, or for the section's first hand."""
    family = FAMILIES[section.family]
    hands = (("both",), ("right", "left")) if family.by == "hand" else (section.hands[:1],)
    for chosen in combinations(section):
        if chosen.get("forms", scale_forms(key)[0]) not in scale_forms(key):
            continue
        for sides in hands:
            if not any(family.problem(chosen, key, hand) for hand in sides):
                return [
                    Request(
                        key,
                        hand,
                        section.ask,
                        0,
                        section.ledger_lines,
                        chosen,
                        template.naming,
                        fingering=fingering,
                    )
                    for hand in sides
                ]
    return []


def _taken_out(exercises: Sequence[Exercise], seed: str, faded: int) -> list[tuple[int, str]]:
    """The tags of a percentage of a section's blanks, each with its exercise's index."""
    tags = [
        (number, blank.tag)
        for number, exercise in enumerate(exercises)
        for blank in exercise.blanks
        if not blank.given
    ]
    Random(seed).shuffle(tags)
    return tags[: round(len(tags) * faded / 100)]
