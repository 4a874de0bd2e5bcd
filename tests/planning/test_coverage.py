"""Sheets in a row meet every key evenly, and set nothing again while there is something else."""

from collections import Counter
from itertools import groupby
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_keys
from workbook.planning.coverage import CYCLE, Earlier, KeyTurns, sheet_number, usable_keys
from workbook.planning.dealing import plan, plans
from workbook.planning.supply import requests_in
from workbook.planning.weekly import whole
from workbook.record.identity import exercise_identity
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

TEMPLATES = {name: read_template(path) for name, path in available().items()}
LEVELS = [name for name in TEMPLATES if name.startswith("level-")]
SOME_OR_ALL = [
    pytest.param(name, marks=pytest.mark.sweep if place % 3 else ())
    for place, name in enumerate(LEVELS)
]
"""Every third level is in the ordinary run."""
ALL_24 = parse_keys(
    "C major; G major; D major; A major; E major; B major; F# major; Db major; Ab major; "
    "Eb major; Bb major; F major; A minor; E minor; B minor; F# minor; C# minor; G# minor; "
    "D# minor; Bb minor; F minor; C minor; G minor; D minor"
)


def row(name, title, keys=ALL_24, student="Ada"):
    return Row(student, TEMPLATES[name], keys, title, None, 2)


def met(sections, plans_made, family):
    """How often each key came in the sections of a family, in the order of the exercises."""
    return [
        item.exercise.key
        for made in plans_made
        for section, part in zip(sections, made.sections)
        if section.family == family
        for item in part.items
    ]


@pytest.mark.parametrize("name", SOME_OR_ALL)
def test_as_many_exercises_as_keys_miss_none(name):
    """Every played family whose sections all suit the same keys: after each sheet no key is
    more than one exercise ahead, so as many exercises as keys meet them all."""
    template = TEMPLATES[name]
    keys = template.keys or ALL_24
    sheets = [plan(row(name, f"Week {number}", keys), "term") for number in range(1, 9)]
    for family, sections in groupby(
        sorted(template.sections, key=lambda s: s.family), key=family_of
    ):
        usable = {tuple(usable_keys(section, keys)) for section in sections}
        if FAMILIES[family].by != "hand" or len(usable) > 1:
            continue
        (own,) = usable
        for last in range(1, len(sheets) + 1):
            asked = met(template.sections, sheets[:last], family)
            counts = Counter(asked)
            assert max(counts.values()) - min(counts[key] for key in own) <= 1, (family, last)
            if len(asked) >= len(own):
                assert set(counts) == set(own)


def family_of(section):
    return section.family


@pytest.mark.parametrize("name", SOME_OR_ALL)
def test_keys_dealt_over_a_whole_round_are_even_from_any_number(name):
    """The keys alone, without music, from any sheet on: also over the end of the round."""
    sections = TEMPLATES[name].sections
    for start in (0, 7, CYCLE - 3):
        counts = Counter()
        for number in range(start, start + 24):
            turns = KeyTurns("x")
            before = whole(TEMPLATES[name]).before(sheet_number(f"Week {number}", ""))
            turns.skip(sections, ALL_24, before)
            for section in sections:
                keys = usable_keys(section, ALL_24)
                counts.update((section.family, key) for key in turns.deal(section, keys))
        for section in sections:
            if all(
                usable_keys(other, ALL_24) == list(ALL_24)
                for other in sections
                if other.family == section.family
            ):
                mine = [counts[section.family, key] for key in ALL_24]
                assert max(mine) - min(mine) <= 2


def test_the_number_of_a_sheet():
    assert sheet_number("Week 7", "any seed 12") == 7
    assert sheet_number("2027-01-19", "") == sheet_number("2027-01-12", "") + 1
    assert sheet_number("Sheet", "2027-01-19") == sheet_number("Sheet", "2027-01-12") + 1
    assert sheet_number("2027-99-99", "") == 0
    assert len(list(whole(TEMPLATES[LEVELS[0]]).before(sheet_number("9" * 5000, "")))) < CYCLE


def test_earlier_sheets_are_not_set_again_and_their_keys_come_last():
    """Three sheets without numbers in their titles, each after those before it."""
    identities, keys, made = set(), Counter(), []
    for title in ("Monday", "Tuesday", "Wednesday"):
        earlier = Earlier(frozenset(identities), keys)
        (one,) = plans(row("level-08", title), "term", earlier=earlier)
        found = {exercise_identity(item.exercise) for item in one.items}
        assert not found & identities
        identities |= found
        keys.update((item.exercise.family, item.exercise.key.ascii) for item in one.items)
        made.append(one)
    families = {section.family for section in TEMPLATES["level-08"].sections}
    for family in (name for name in families if FAMILIES[name].keyed):
        counts = Counter(met(TEMPLATES["level-08"].sections, made, family))
        assert max(counts.values()) - min(counts[key] for key in ALL_24) <= 1


@pytest.mark.parametrize(
    "named", ["C major", pytest.param("C major; G major", marks=pytest.mark.sweep)]
)
def test_what_was_had_comes_again_only_when_all_was_had(named):
    """Sheet after sheet in these keys: a section repeats an exercise of an earlier sheet only
    once every exercise that it can make in them was had, or is on the sheet."""
    keys = parse_keys(named)
    identities, counts, repeated = set(), Counter(), 0
    for number in range(4):
        earlier = Earlier(frozenset(identities), counts)
        (one,) = plans(row("level-02", f"{number}", keys), "term", earlier=earlier)
        here = {exercise_identity(item.exercise) for item in one.items}
        for section, part in zip(TEMPLATES["level-02"].sections, one.sections):
            if {exercise_identity(item.exercise) for item in part.items} & identities:
                repeated += 1
                assert all_of(section, keys) <= identities | here, section.family
        identities |= here
        counts.update((item.exercise.family, item.exercise.key.ascii) for item in one.items)
    assert repeated


def all_of(section, keys):
    """The identities of what a section can make in the keys, each request with twelve seeds."""
    like = Request(keys[0], "right", section.ask, section.given, section.ledger_lines)
    return {
        exercise_identity(FAMILIES[section.family].make(request, Random(seed)))
        for key in keys
        for request in requests_in(section, like, key)
        for seed in range(12)
    }
