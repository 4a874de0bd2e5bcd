"""Study pages: every skill of a template in one key, fully worked or partly open.

In: a template, a key and the share of answers to take out. Out: a plan without points.
The same share always takes out the same answers. A larger share takes out all that a smaller
one does and more, so a student can move step by step from reading to knowing.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from random import Random

from workbook.exercises.families import FAMILIES
from workbook.exercises.figures import Keyboard
from workbook.exercises.model import DRAWN, Event, Exercise, Request
from workbook.fingering.conventions import Conventions, traditional
from workbook.music.keys import Key
from workbook.music.scales import scale_forms
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, Template, combinations, heading

SHARES = (0, 25, 50, 75, 100)
"""The percentages of answers that can be taken out."""


def study(
    template: Template, key: Key, faded: int = 0, fingering: Conventions | None = None
) -> Plan:
    """The study page of a key: one exercise for each section and hand.

    ``faded`` is the percentage of blanks left open. Sections that cannot be made in the key
    are omitted.
    """
    made: list[tuple[Section, list[Exercise]]] = []
    for index, section in enumerate(template.sections):
        requests = _requests(section, key, template, fingering or traditional())
        rng = Random(f"{template.name}/{key.ascii}/{index}")
        if requests:
            made.append((section, [FAMILIES[section.family].make(r, rng) for r in requests]))
    tags = [
        (index, number, blank.tag)
        for index, (_, exercises) in enumerate(made)
        for number, exercise in enumerate(exercises)
        for blank in exercise.blanks
        if not blank.given
    ]
    Random(f"{template.name}/{key.ascii}").shuffle(tags)
    taken_out = set(tags[: round(len(tags) * faded / 100)])
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


def worked(exercise: Exercise, taken_out: set[str]) -> Exercise:
    """The exercise with every blank given except those whose tag is in ``taken_out``."""
    blanks = tuple(
        replace(blank, given=blank.given or blank.tag not in taken_out) for blank in exercise.blanks
    )
    shown = {(blank.asks, blank.hand, blank.column) for blank in blanks if blank.given}

    def event(hand: str, column: int, one: Event) -> Event:
        if one.written and ("notes", hand, column) in shown:
            one = replace(one, written=())
        if one.signature_written and ("signature", hand, column) in shown:
            one = replace(one, signature_written=False)
        return one

    staves = tuple(
        replace(
            staff,
            events=tuple(event(staff.hand, column, one) for column, one in enumerate(staff.events)),
        )
        for staff in exercise.staves
    )
    figure = exercise.figure
    if isinstance(figure, Keyboard) and ("keys", "right", 0) in shown:
        figure = replace(figure, shaded=(), shown=figure.shaded)
    # music printed on the staff for the student to read needs no blank
    blanks = tuple(b for b in blanks if not (b.given and b.asks in DRAWN))
    roomy = any(e.written for staff in exercise.staves for e in staff.events)
    return replace(exercise, blanks=blanks, staves=staves, figure=figure, roomy=roomy, faded=True)
