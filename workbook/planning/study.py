"""Study pages: every skill of a template in one key, worked, or with some answers taken out.

In: a template and a key. Out: a plan without points, in which all blanks are given
but a share of them. The same share leaves out the same ones, and a larger share
all that a smaller one does, so that a student goes from reading to knowing.
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
from workbook.music.scales import forms
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.studio.roster import Row
from workbook.studio.template_model import Section, Template, combinations, heading

SHARES = (0, 25, 50, 75, 100)
"""Percent of the answers that are taken out."""


def study(
    template: Template, key: Key, faded: int = 0, fingering: Conventions | None = None
) -> Plan:
    """The study page of a key: one exercise a section, ``faded`` percent of its blanks open.

    Sections that cannot be made in the key are left out.
    """
    made: list[tuple[Section, list[Exercise]]] = []
    for index, section in enumerate(template.sections):
        requests = _requests(section, key, template, fingering or traditional())
        rng = Random(f"{template.name}/{key.ascii}/{index}")
        if requests:
            made.append((section, [FAMILIES[section.family].make(r, rng) for r in requests]))
    tags = [
        (place, number, blank.tag)
        for place, (_, exercises) in enumerate(made)
        for number, exercise in enumerate(exercises)
        for blank in exercise.blanks
        if not blank.given
    ]
    Random(f"{template.name}/{key.ascii}").shuffle(tags)
    taken_out = set(tags[: round(len(tags) * faded / 100)])
    sections, count = [], 0
    for place, (section, exercises) in enumerate(made):
        items = []
        for number, exercise in enumerate(exercises):
            count += 1
            out = {tag for p, n, tag in taken_out if (p, n) == (place, number)}
            items.append(Item(count, worked(exercise, out), 0))
        sections.append(
            PlannedSection(
                chr(ord("A") + place % 26), heading(section, template.naming), tuple(items)
            )
        )
    title = template.title + (" – fill in what is missing" if faded else "")
    code = hashlib.sha256(f"{template.name}/{key.ascii}/{faded}".encode()).hexdigest()[:6]
    row = Row("", template, (key,), title, "", 0)
    return Plan(row, "", tuple(sections), code.upper())


def _requests(
    section: Section, key: Key, template: Template, fingering: Conventions
) -> list[Request]:
    """Both hands together where the family can, else what the section asks first."""
    family = FAMILIES[section.family]
    hands = (("both",), ("right", "left")) if family.by == "hand" else (section.hands[:1],)
    for chosen in combinations(section):
        if chosen.get("forms", forms(key)[0]) not in forms(key):
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
    """The exercise with every blank given but those whose tag is in ``taken_out``."""
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
    # what is printed on the staff in place of being written needs no blank
    blanks = tuple(b for b in blanks if not (b.given and b.asks in DRAWN))
    roomy = any(e.written for staff in exercise.staves for e in staff.events)
    return replace(exercise, blanks=blanks, staves=staves, figure=figure, roomy=roomy, faded=True)
