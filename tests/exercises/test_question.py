"""The question of an exercise: the same whatever help it has, another for anything else."""

from dataclasses import replace
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.question import question
from workbook.music.keys import parse_key

KEYS = [parse_key("D major"), parse_key("C minor")]
NO_HELP = {"bar-lines", "cadence-writing", "keyboard-shading", "missing-chord", "transposition"}


class Fixed(Random):
    """Chooses what is given without using up a chance, so that all else is as without help."""

    def sample(self, population, k, **more):
        if isinstance(population, range):
            return list(population)[:k]
        return super().sample(population, k, **more)


def made(request, family, seed=1):
    chance = Fixed if family.name in ("enharmonic-notes", "bar-completion") else Random
    return family.make(request, chance(seed))  # these two choose what is given before the music


def requests(family):
    """Each setting with each of its values, in two keys and all hands."""
    varied = [{name: value} for name, one in family.settings.items() for value in one.values]
    for key in KEYS:
        for hand in ("right", "left", "both"):
            for settings in ({}, *varied):
                if not family.problem(settings, key, hand):
                    yield Request(key, hand, family.asks, 0, 2, settings)


@pytest.mark.parametrize("name", FAMILIES)
def test_help_does_not_change_the_question(name):
    family, helped = FAMILIES[name], 0
    for request in requests(family):
        alone = made(request, family)
        for given in (1, 3):
            one = made(replace(request, given=given), family)
            helped += len(one.asked) < len(alone.asked)
            assert question(one) == question(alone), request
    assert bool(helped) == (name not in NO_HELP)


def test_other_music_and_other_tasks_are_other_questions():
    key, other = KEYS
    for name, settings, changed in (
        ("scale-fingering", {}, {"hand": "left"}),
        ("scale-fingering", {}, {"key": other}),
        ("scale-fingering", {}, {"settings": {"octaves": 2}}),
        ("scale-fingering", {}, {"settings": {"direction": "down"}}),
        ("scale-writing", {}, {"settings": {"direction": "down"}}),
        ("scale-degrees", {}, {"ask": ("degree",)}),
        ("inversions", {}, {"ask": ("finger",)}),
        ("interval-building", {"notes": "harmonic"}, {"settings": {"direction": "below"}}),
        ("key-signatures", {"task": "name"}, {"ask": ("major",)}),
        ("key-signatures", {"task": "name"}, {"settings": {"task": "write"}}),
    ):
        family = FAMILIES[name]
        request = Request(key, "right", family.asks, 1, 2, settings)
        settings = {**settings, **changed.get("settings", {})}
        changed = replace(request, **{**changed, "settings": settings})
        assert question(made(request, family)) != question(made(changed, family)), changed


def test_which_chord_is_missing_is_the_question():
    family = FAMILIES["missing-chord"]
    request = Request(KEYS[0], "right", family.asks)
    gaps = {}
    for seed in range(12):
        one = made(request, family, seed)
        where = one.staves[0].events[0].pitches, tuple(blank.tag for blank in one.asked)
        gaps.setdefault(where, set()).add(question(one))
    assert len(gaps) > 1 and all(len(found) == 1 for found in gaps.values())
    assert len(set.union(*gaps.values())) == len(gaps)
