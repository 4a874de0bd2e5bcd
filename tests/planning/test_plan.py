"""The plan: even over keys and hands, no repeats, its own seed for every row."""

from collections import Counter
from dataclasses import replace
from functools import partial
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.question import question
from workbook.music.keys import parse_keys
from workbook.planning.dealing import _others, plan, plans
from workbook.planning.exercise_pool import SIZE, ExercisePool, entry
from workbook.planning.plan import Repeats
from workbook.planning.supply import requests_in
from workbook.studio.roster import Row
from workbook.studio.template_model import suits
from workbook.studio.templates import available, read_template

TEMPLATES = {name: read_template(path) for name, path in available().items()}


def row(name="all-skills", keys="C major; G major; A minor; E minor", **more):
    return Row(
        **{
            "student": "Ada",
            "template": TEMPLATES[name],
            "keys": parse_keys(keys),
            "title": "",
            "seed": None,
            "number": 2,
            **more,
        }
    )


def test_a_section_spreads_over_keys_and_hands():
    for name, template in TEMPLATES.items():
        for section, recipe in zip(plan(row(name), "").sections, template.sections):
            keys = Counter(item.exercise.key for item in section.items)
            if FAMILIES[recipe.family].keyed:
                assert max(keys.values()) - min(keys.values() if len(keys) == 4 else [0]) <= 1
            hands = Counter(item.exercise.hand for item in section.items)
            if FAMILIES[recipe.family].by and len(section.items) >= len(recipe.hands):
                assert set(hands) == set(recipe.hands)


@pytest.mark.parametrize("seeds", ["abc", pytest.param("abcdef", marks=pytest.mark.sweep)])
def test_nothing_repeats_while_another_is_possible(seeds):
    for name in TEMPLATES:
        for seed in seeds:
            items = plan(row(name, "C major; G major; A minor; E minor; D major"), seed).items
            asked = [
                (
                    i.exercise.label,
                    i.exercise.key.fifths,
                    i.exercise.staves,
                    i.exercise.figure,
                    tuple((b.tag, b.given) for b in i.exercise.blanks),
                )
                for i in items
            ]
            assert len(set(asked)) == len(asked)


@pytest.mark.parametrize(
    "keys",
    [
        "C# major",
        pytest.param("Ab minor", marks=pytest.mark.sweep),
        "C major; A minor",
        pytest.param("A# minor; Ab minor", marks=pytest.mark.sweep),
        pytest.param("all", marks=pytest.mark.sweep),
        "D major; Bb major; F minor; B minor; Cb major",
    ],
)
def test_what_repeats_has_no_other_and_sections_are_even(keys):
    """Of the same key, whatever hand and settings of the section: music that comes twice,
    a question and a task that does, is all that can be made."""
    for name, template in TEMPLATES.items():
        mine = row(name, keys)
        for view in ("music", "question", "task"):
            found = [
                [(item.exercise, getattr(entry(item.exercise), view)) for item in section.items]
                for section in plan(mine, "").sections
            ]
            everything, seen = {seen for items in found for _, seen in items}, set()
            for recipe, items in zip(template.sections, found):
                counts = Counter(exercise.key for exercise, _ in items)
                if FAMILIES[recipe.family].keyed:
                    assert max(counts.values()) - min(counts[key] for key in mine.keys) <= 1
                for exercise, looks in items:
                    if looks in seen:
                        assert everything >= {
                            getattr(entry(other), view) for other in others(recipe, exercise)
                        }
                    seen.add(looks)


def others(recipe, exercise):
    """What the section could ask in the exercise's key: each hand and settings, many seeds."""
    own = Request(exercise.key, exercise.hand, recipe.ask, recipe.given, recipe.ledger_lines)
    for request in _others(recipe, own):
        for seed in range(25):
            yield FAMILIES[recipe.family].make(request, Random(seed))


def test_minor_forms_are_only_asked_of_minor_keys():
    for item in plan(row("advanced"), "").items:
        if item.exercise.family == "scale-fingering":
            form = any(word in item.exercise.label for word in ("natural", "harmonic", "melodic"))
            assert form == item.exercise.key.minor


def test_seed_and_code():
    first = plan(row(), "x")
    assert plan(row(number=9), "x").items == first.items
    assert plan(row(number=9), "x").code == first.code
    assert plan(row(), "y").code != first.code
    assert plan(row(student="Ben"), "x").items != first.items
    fixed = replace(row(), seed="same")
    other = replace(row(student="Ben"), seed="same")
    assert plan(fixed, "x").items == plan(other, "y").items
    assert plan(fixed, "x").code != plan(other, "x").code
    assert plan(row(), "x", copy=1).items != first.items


def test_where_one_hand_has_nothing_new_the_other_is_asked():
    """Broken chords of one key have few registers; six of one key still differ."""
    broken = next(s for s in TEMPLATES["level-03"].sections if s.family == "broken-chord")
    section = replace(broken, count=6)
    template = replace(TEMPLATES["level-05"], sections=(section,))
    items = plan(row("level-05", "B major", template=template), "").items
    assert len({(i.exercise.label, i.exercise.staves) for i in items}) == 6


def ways(exercise):
    """How many exercises with other music answer the same request."""
    family = FAMILIES[exercise.family]
    asks = tuple(dict.fromkeys(blank.asks for blank in exercise.asked))
    request = Request(exercise.key, exercise.hand, asks, 0, 2, exercise.settings)
    return len({family.make(request, Random(seed)).staves for seed in range(20)})


def test_forms_are_alike_in_all_but_their_exercises():
    for name in ("level-04", "level-08", "all-skills"):
        mine = row(name, "C major; G major; A minor; E minor; D major")
        a, b = plans(mine, "", forms=2)
        assert (a.form, b.form) == ("A", "B") and a.code != b.code and a.title != b.title
        assert a.points == b.points and len(a.items) == len(b.items)
        moved, everything = 0, {*questions_of(a), *questions_of(b)}
        everything |= {question(part.example.exercise) for part in a.sections if part.example}
        recipes = [part for part in mine.template.sections for _ in range(part.count)]
        for one, other, recipe in zip(a.items, b.items, recipes, strict=True):
            first, second = one.exercise, other.exercise
            assert (one.number, one.points) == (other.number, other.points)
            assert first.family == second.family
            if any(getattr(first, of) != getattr(second, of) for of in ("key", "hand", "settings")):
                moved += 1
                for nearer in nearer_than(second, recipe, first):
                    assert everything >= nearer  # or it need not have moved so far
                continue
            assert sorted(x.asks for x in first.blanks) == sorted(
                x.asks for x in second.blanks
            ) or first.family in ("scale-repair", "note-names")
        assert moved <= 0.5 * len(a.items), (name, moved)
        assert a.repeats == b.repeats == Repeats(), name
        assert not set(questions_of(a)) & set(questions_of(b)), name
        assert plan(mine, "").items == a.items


@pytest.mark.parametrize("level", ["level-01", "level-02", "level-03", "level-04", "level-05"])
def test_an_example_has_the_task_that_stands_above_it(level):
    for week in range(1, 9):
        mine = replace(row(level, title=f"Week {week}"), keys=TEMPLATES[level].keys)
        for section in plan(mine, "").sections:
            if section.example:
                assert section.example.exercise.task == section.items[0].exercise.task


def nearer_than(second, recipe, first):
    """The questions of each request that ``first`` could answer and that is more like it than
    that of ``second``: first of all its own, then those of its key in which less is changed.
    """
    asked = recipe.ask, recipe.given, recipe.ledger_lines
    own = Request(first.key, first.hand, *asked, first.settings)
    changed = changes(first, second) if first.key == second.key else 1000
    family = FAMILIES[first.family]
    for request in (own, *requests_in(recipe, own, first.key)):
        answer = family.make(request, Random(0))
        if changes(first, answer) < changed:
            yield {question(family.make(request, Random(seed))) for seed in range(40)}


def changes(first, second):
    """How many settings differ, and the hand; one hand and both differ twice."""
    settings = sum(second.settings[name] != value for name, value in first.settings.items())
    hands = {first.hand, second.hand}
    return settings + (len(hands) > 1) * (1 + ("both" in hands))


def questions_of(one):
    return [question(item.exercise) for item in one.items]


@pytest.mark.parametrize(
    "keys",
    [
        "C major",
        pytest.param("A minor; E minor", marks=pytest.mark.sweep),
        pytest.param("F major; G major; D minor", marks=pytest.mark.sweep),
    ],
)
def test_forms_share_nothing_while_there_is_another_and_count_what_they_share(keys):
    """What two forms share, or one has twice, is told; of a section that shares, all that can
    be made in the keys of the row is in these forms."""
    shared = 0
    for name, template in TEMPLATES.items():
        mine = row(name, keys)
        a, b = plans(mine, "", forms=2)
        assert a.repeats.shared == 0
        assert b.repeats.shared == len(set(questions_of(a)) & set(questions_of(b)))
        for form in (a, b):
            twice = len(form.items) - len(set(questions_of(form)))
            assert sum(count for _, count in form.repeats.sections) == twice
        everything, first = {*questions_of(a), *questions_of(b)}, set(questions_of(a))
        for recipe, section in zip(template.sections, b.sections):
            if not first & {question(item.exercise) for item in section.items}:
                continue
            shared += 1
            for key in filter(partial(suits, recipe, FAMILIES[recipe.family]), mine.keys):
                own = Request(key, "right", recipe.ask, recipe.given, recipe.ledger_lines)
                for request in requests_in(recipe, own, key):
                    for seed in range(40):
                        other = FAMILIES[recipe.family].make(request, Random(seed))
                        assert question(other) in everything, (name, section.letter)
    assert shared or keys != "C major"  # or nothing was looked at


def test_students_share_a_pool_which_changes_nothing_in_their_plans():
    shared, made = ExercisePool(), []
    for student in "ABCDEFGHIJKL":
        alone = plan(row(student=student), "w")
        (together,) = plans(row(student=student), "w", pool=shared)
        assert together == alone
        made.append([entry(item.exercise).task for item in alone.items])
    assert len(set(map(tuple, made))) == len(made)
    intervals = {
        task
        for tasks, one in zip(made, [plan(row(), "w")] * 12)
        for task, item in zip(tasks, one.items)
        if item.exercise.family == "intervals"
    }
    keys = 4
    asked = [s for s in TEMPLATES["all-skills"].sections if s.family == "intervals"]
    assert len(intervals) <= SIZE * keys * sum(len(s.hands) for s in asked)


def test_another_title_draws_from_another_pool_and_so_does_another_word():
    def tasks(**more):
        return {
            entry(item.exercise).task
            for item in plan(row(**more), "").items
            if item.exercise.family == "intervals"
        }

    assert tasks(title="Week 1") != tasks(title="Week 2") != tasks(seed="x") != tasks(seed="y")
