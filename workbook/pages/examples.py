"""Worked examples in one line of music, if a few questions show as much as many.

In: a plan and its paper. Out: the plan, with examples of more than one line shortened.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from workbook.engraving import frame
from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Exercise
from workbook.pages.columns import frames_of, hand_of, most_columns
from workbook.pages.paper import Paper
from workbook.planning.plan import Plan, PlannedSection


def with_short_examples(plan: Plan, paper: Paper) -> Plan:
    """The plan with each example in one line where its measures stand apart (``Family.apart``)."""
    if not any(section.example for section in plan.sections):
        return plan
    size, most = hand_of(plan, paper), most_columns(plan, paper)
    return replace(
        plan,
        sections=tuple(_with_short_example(one, paper, size, most) for one in plan.sections),
    )


def _with_short_example(
    section: PlannedSection, paper: Paper, size: str, most: int
) -> PlannedSection:
    shown = section.example
    if not shown or not shown.exercise.staves or not FAMILIES[shown.exercise.family].apart:
        return section
    ends = frame.lines(shown.exercise, frames_of(section, paper, size, most)[shown.number])
    if not ends:
        return section
    short = shown.exercise.once(_short, ends[0] + 1)
    return replace(section, example=replace(shown, exercise=short))


def _short(exercise: Exercise, columns: int) -> Exercise:
    """The exercise with as many of its measures as there are in its first ``columns``: those that
    have the most answers between them.
    """
    measures = _measures(exercise)
    count = max(sum(measure[-1] < columns for measure in measures), 1)
    answers = [
        {(b.asks, b.answer) for b in exercise.blanks if b.column in measure} for measure in measures
    ]
    kept: list[int] = []
    while len(kept) < count:
        seen = {answer for number in kept for answer in answers[number]}
        others = (number for number in range(len(measures)) if number not in kept)
        kept.append(max(others, key=lambda number: (len(answers[number] - seen), -number)))
    return _only(exercise, [column for number in sorted(kept) for column in measures[number]])


def _measures(exercise: Exercise) -> list[range]:
    """The columns of each measure; of each note, if there are no bar lines."""
    events = exercise.staves[0].events
    ends = [column for column, event in enumerate(events) if event.after not in ("", "break")]
    if len(ends) < 2:
        ends = list(range(len(events)))
    return [range(start, end + 1) for start, end in zip([0, *(e + 1 for e in ends)], ends)]


def _only(exercise: Exercise, columns: Sequence[int]) -> Exercise:
    """The exercise with these of its columns, which end as all did."""
    place = {column: number for number, column in enumerate(columns)}
    staves = []
    for staff in exercise.staves:
        *events, last = (staff.events[column] for column in columns)
        events = [one._replace(after="") if one.after == "break" else one for one in events]
        last = last._replace(after=staff.events[-1].after)
        staves.append(replace(staff, events=(*events, last)))
    return replace(
        exercise,
        staves=tuple(staves),
        blanks=tuple(
            blank._replace(column=place[blank.column])
            for blank in exercise.blanks
            if blank.column in place
        ),
    )
