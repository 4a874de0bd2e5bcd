"""Forms A and B of two exams share no exercise at any level; where too few are left, they share
only what is exhausted."""

from dataclasses import replace
from random import Random

import pytest
from asked import Request

from workbook.builds.books import marked
from workbook.builds.repeated import told_repeats
from workbook.exercises.families import FAMILIES
from workbook.exercises.question import question
from workbook.planning.dealing import plans
from workbook.planning.supply import requests_in
from workbook.record.identity import exercise_identity
from workbook.studio.roster import Row
from workbook.studio.template_model import without_help
from workbook.studio.templates import available, read_template

LEVELS = {
    name: without_help(read_template(path))
    for name, path in sorted(available().items())
    if name.startswith("level-")
}
SMALL = replace(
    LEVELS["level-01"],
    sections=tuple(s for s in LEVELS["level-01"].sections if s.family == "keyboard-shading"),
    keys=LEVELS["level-01"].keys[:1],
)
"""A paper of which there are not enough exercises for two exams."""


def papers(template):
    """Forms A and B of an exam, then those of another, after all that was on the first."""
    had = frozenset()
    for title in ("Mock exam", "Second exam"):
        row = Row("Ada", template, template.keys, title, None, 2)
        made = plans(row, title, forms=2, had=had)
        yield made, had
        had |= {exercise_identity(item.exercise) for one in made for item in one.items}


def shared(template):
    """The sections with an exercise of an earlier form, or one of the exam before, and all that
    was set up to then.
    """
    seen, found = set(), []
    for made, had in papers(template):
        questions = set()
        for one in made:
            identities = {exercise_identity(item.exercise) for item in one.items}
            seen |= identities
            for section, part in zip(template.sections, one.sections):
                exercises = [item.exercise for item in part.items]
                if questions & {question(one) for one in exercises} or had & {
                    exercise_identity(one) for one in exercises
                }:
                    found.append((section, frozenset(seen)))
            questions |= {question(item.exercise) for item in one.items}
    return found


def rest(section, keys, seen):
    """What a section could still make in the keys, each request with twelve seeds."""
    like = Request(keys[0], "right", section.ask, section.given, section.ledger_lines)
    return {
        exercise_identity(FAMILIES[section.family].make(request, Random(seed)))
        for key in keys
        for request in requests_in(section, like, key)
        for seed in range(12)
    } - seen


@pytest.mark.parametrize("name", ("level-01", "level-05"))
def test_papers_share_nothing(name):
    assert not shared(LEVELS[name])


@pytest.mark.sweep
@pytest.mark.parametrize("name", LEVELS)
def test_papers_of_every_level_share_nothing(name):
    assert not shared(LEVELS[name])


def test_papers_share_only_what_is_exhausted():
    found = shared(SMALL)
    assert found
    for section, seen in found:
        assert not rest(section, SMALL.keys, seen)


def test_what_a_student_had_is_counted():
    """The second exam of a small paper says how much of it was on the first."""
    _, (second, had) = papers(SMALL)
    for one in second:
        again = [i for i in one.items if exercise_identity(i.exercise) in had]
        assert one.repeats.had == len(again) > 0
    ((_, sentence),) = [told_repeats([(marked(one), one.repeats)]) for one in second[1:]]
    assert sentence == (
        "Repeated from an earlier sheet, because no others are left: Ada, Second exam, form B "
        f"({second[1].repeats.had} exercises)."
    )
