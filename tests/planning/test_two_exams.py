"""Forms A and B of two exams: they share an exercise only where a section has no others."""

from random import Random

import pytest
from asked import Request

from workbook.builds.books import marked
from workbook.builds.repeated import told_repeats
from workbook.exercises.families import FAMILIES
from workbook.planning.dealing import plans
from workbook.planning.exercise_pool import entry
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
EXHAUSTED = {
    "level-01": {"five-finger", "keyboard-shading"},
    "level-02": {"five-finger", "scale-fingering", "scale-steps"},
    "level-03": {"scale-fingering", "key-signatures"},
}
"""The families of which the keys of a level have too few exercises for four papers."""


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
        tasks = set()
        for one in made:
            identities = {exercise_identity(item.exercise) for item in one.items}
            seen |= identities
            for section, part in zip(template.sections, one.sections):
                exercises = [item.exercise for item in part.items]
                if tasks & {entry(one).task for one in exercises} or had & {
                    exercise_identity(one) for one in exercises
                }:
                    found.append((section, frozenset(seen)))
            tasks |= {entry(item.exercise).task for item in one.items}
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


def check(name):
    template = LEVELS[name]
    found = shared(template)
    assert {section.family for section, _ in found} == EXHAUSTED.get(name, set())
    for section, seen in found:
        assert not rest(section, template.keys, seen), section.family


@pytest.mark.parametrize("name", ("level-01", "level-05"))
def test_papers_share_only_what_is_exhausted(name):
    check(name)


@pytest.mark.sweep
@pytest.mark.parametrize("name", LEVELS)
def test_papers_of_every_level_share_only_what_is_exhausted(name):
    check(name)


def test_what_a_student_had_is_counted():
    """The second exam of level 1 says how much of it was on the first."""
    _, (second, had) = papers(LEVELS["level-01"])
    for one in second:
        again = [i for i in one.items if exercise_identity(i.exercise) in had]
        assert one.repeats.had == len(again) > 0
    ((_, sentence),) = [told_repeats([(marked(one), one.repeats)]) for one in second[1:]]
    assert sentence == (
        "On an earlier sheet as well, because nothing else is left: Ada, Second exam, form B "
        f"({second[1].repeats.had} exercises)."
    )
