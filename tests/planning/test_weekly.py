"""Weekly sheets: every exercise of a template once a round, and the keys go on evenly."""

from collections import Counter, defaultdict
from dataclasses import replace
from functools import cache

import pytest

from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_keys
from workbook.planning.coverage import CYCLE, Earlier, KeyTurns, sheet_number, usable_keys
from workbook.planning.dealing import plan, plans
from workbook.planning.weekly import Round, mended, parted, rounds, shortened, whole
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

LEVELS = {
    name: read_template(path)
    for name, path in sorted(available().items())
    if name.startswith("level-")
}
ROOM = 1000.0


def heights(template):
    """A rough height for each section: a heading, and lines."""
    return [60.0 + 110 * section.count for section in template.sections]


def some_rounds(template):
    """The rounds of a template, from the fewest sheets on."""
    return list(rounds(template.sections, heights(template), ROOM))


@pytest.mark.parametrize("name", LEVELS)
def test_a_round_has_every_exercise_once_evenly(name):
    template = LEVELS[name]
    high = [h / s.count for h, s in zip(heights(template), template.sections)]
    found = some_rounds(template)
    assert len(found[-1].sheets) == sum(section.count for section in template.sections)
    for one in found:
        totals = [sum(share[n] for share in one.sheets) for n in range(len(template.sections))]
        assert totals == [section.count for section in template.sections]
        assert all(sum(share) for share in one.sheets), "no sheet is empty"
    loads = [sum(h * c for h, c in zip(high, share)) for share in found[2].sheets]
    assert max(loads) < 1.6 * sum(loads) / len(loads)


def test_an_exercise_is_moved_where_it_fits():
    crowded = Round(((3, 1), (1, 0)))
    assert mended(crowded, [1.0, 2.0], lambda share: sum(share) <= 3) == Round(((2, 1), (2, 0)))
    assert mended(crowded, [1.0, 2.0], lambda share: sum(share) <= 2) is None
    alone = Round(((1, 0), (0, 1)))
    assert mended(alone, [1.0, 1.0], lambda share: False) == alone


def test_a_sheet_that_is_too_long_loses_from_its_longest_section():
    assert shortened((0, 2, 3), 2) == (0, 2, 1)
    assert shortened((1, 1), 5) == (1, 0)


def test_the_sheets_of_a_round_follow_each_other():
    three = Round(((1, 0), (0, 1), (1, 1)))
    assert [three.share(n) for n in (0, 1, 2, 3)] == [(1, 0), (0, 1), (1, 1), (1, 0)]
    assert list(three.before(4)) == [(1, 0), (0, 1), (1, 1), (1, 0)]
    assert list(three.shares(-1, 2)) == [(1, 1), (1, 0)]
    assert len(list(three.before(10**9))) < CYCLE * 3 + 3


def test_a_plan_is_the_sheet_whose_turn_it_is():
    template = LEVELS["level-04"]
    found = some_rounds(template)[2]
    count = len(found.sheets)
    for week in (1, 2, count + 1):
        row = Row("Ada", template, template.keys, f"Week {week}", None, 2)
        (made,) = plans(row, "term", weekly=found)
        share = [n for n in found.sheets[week % count] if n]
        assert [len(section.items) for section in made.sections] == share
        assert made.weekly and not any(section.example for section in made.sections)
    first, second = (
        plans(replace(row, title="Sheet"), "term", weekly=found, earlier=Earlier(before=before))
        for before in ({}, {"level-04": 1, "level-05": 1})
    )
    assert [len(s.items) for s in first[0].sections] == [n for n in found.sheets[0] if n]
    assert [len(s.items) for s in second[0].sections] == [n for n in found.sheets[1] if n]


def test_a_number_in_the_title_comes_before_the_sheets_that_are_known():
    template = LEVELS["level-04"]
    found = some_rounds(template)[2]
    row = Row("Ada", template, template.keys, "Week 2", None, 2)
    (made,) = plans(row, "", weekly=found, earlier=Earlier(before={"level-04": 1}))
    assert [len(s.items) for s in made.sections] == [n for n in found.sheets[2] if n]


usable = cache(usable_keys)


def dealt(template, keys, turns, share):
    """The keys of a sheet by family."""
    for section in parted(template, share).sections:
        for key in turns.deal(section, usable(replace(section, count=1, example=False), keys)):
            yield section.family, key


def even(template, keys, found, sheets):
    """After each of so many sheets, no key of a family is more than one exercise ahead of
    another; so as many exercises as keys meet them all.
    """
    own = defaultdict(set)
    for section in template.sections:
        if FAMILIES[section.family].keyed:
            own[section.family].update(usable_keys(section, keys))
    counts, turns = defaultdict(Counter), KeyTurns("x")
    for number in range(sheets):
        for family, key in dealt(template, keys, turns, found.share(number)):
            counts[family][key] += 1
        for family, whole_set in own.items():
            met = [counts[family][key] for key in whole_set]
            assert max(met) - min(met) <= 1, (number, family)
            if sum(met) >= len(whole_set):
                assert min(met), (number, family)
    assert all(counts[family].total() >= len(some) for family, some in own.items())


def alone(template, keys, found, number):
    """The keys of one sheet as a build deals them: without those before it at hand."""
    turns = KeyTurns("x")
    turns.skip(template.sections, keys, found.before(sheet_number(f"Week {number}", "")))
    return list(dealt(template, keys, turns, found.share(number)))


@pytest.mark.parametrize("name", ("level-05", "level-09"))
def test_weekly_sheets_in_a_row_meet_every_key_evenly(name):
    template = LEVELS[name]
    found = some_rounds(template)[2]
    even(template, template.keys, found, 25 * len(found.sheets))


def test_a_sheet_has_the_keys_that_follow_those_before_it():
    """Also where the numbers begin again: then all keys were met equally often."""
    template = LEVELS["level-09"]
    found, turns = some_rounds(template)[2], KeyTurns("x")
    in_turn = [
        list(dealt(template, template.keys, turns, found.share(number))) for number in range(12)
    ]
    assert [alone(template, template.keys, found, number) for number in range(12)] == in_turn
    again = CYCLE * len(found.sheets)
    assert [alone(template, template.keys, found, again + n) for n in range(4)] == in_turn[:4]


@pytest.mark.sweep
@pytest.mark.parametrize("name", LEVELS)
def test_sheets_in_a_row_meet_every_key_evenly_in_every_round(name):
    """Whole workbooks, and weekly sheets of every length: in the level's own keys and in all 24."""
    template = LEVELS[name]
    for keys in {template.keys, parse_keys("all")}:
        for found in (whole(template), *some_rounds(template)):
            even(template, keys, found, 25 * len(found.sheets))


@pytest.mark.sweep
@pytest.mark.parametrize("name", LEVELS)
def test_the_exercises_of_weekly_sheets_meet_every_key_evenly(name):
    """The plans themselves: keys as they are printed, in every family that is played."""
    template = LEVELS[name]
    found = some_rounds(template)[2]
    counts, own = defaultdict(Counter), defaultdict(set)
    for section in template.sections:
        own[section.family].update(usable_keys(section, template.keys))
    for week in range(1, 26 * len(found.sheets)):
        row = Row("Ada", template, template.keys, f"Week {week}", None, 2)
        (made,) = plans(row, "term", weekly=found)
        for item in made.items:
            counts[item.exercise.family][item.exercise.key] += 1
        for family, usable in own.items():
            if FAMILIES[family].by == "hand" and counts[family].total() >= len(usable):
                assert usable <= set(counts[family]), (week, family)


def test_a_whole_workbook_is_as_before():
    template = LEVELS["level-02"]
    row = Row("Ada", template, template.keys, "Week 3", None, 2)
    (made,) = plans(row, "term", weekly=None)
    assert made == plan(row, "term") and not made.weekly and not made.left_out
