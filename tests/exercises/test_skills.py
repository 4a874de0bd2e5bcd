"""What an exercise carries for the record: complete settings, form of the scale, help, skill."""

import sys
from itertools import product
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.music.keys import parse_key
from workbook.music.scales import scale_forms


def make(family, key="A minor", hand="left", given=0, **settings):
    kind = FAMILIES[family]
    return kind.make(Request(parse_key(key), hand, kind.asks, given, 2, settings), Random(1))


def skill(family, key="A minor", hand="left", **settings):
    made = make(family, key, hand, **settings)
    return FAMILIES[family].skill(made.settings, made.hand, made.scale_form)


@pytest.mark.parametrize(
    "found, wanted",
    [
        (skill("scale-fingering", forms="harmonic", octaves=2), "left/harmonic/2 octaves"),
        (skill("scale-fingering"), "left/natural"),
        (skill("scale-fingering", "D major", forms="melodic"), "left/major"),
        (skill("scale-fingering", hand="both", motion="contrary"), "both/natural/contrary motion"),
        (skill("arpeggio", position="1st"), "left/1st position"),
        (skill("arpeggio", chord="dominant seventh"), "left/dominant seventh chord"),
        (skill("scale-writing", start=3, signature="printed"), "bass/harmonic/printed signature"),
        (skill("keyboard-shading", shape="tonic triad"), "tonic triad shape"),
        (skill("keyboard-shading"), "harmonic"),
        (skill("seventh-chords", inversions=False), "bass/no inversions"),
        (skill("seventh-chords", task="write", inversions=False), "bass/write task"),
        (skill("key-signatures", task="order"), "order task"),
        (skill("progression", numerals="I V I", start="1st"), "left/1st start"),
        (skill("intervals", quality=True), "left/quality"),
    ],
)
def test_skills(found, wanted):
    assert found.split("/", 1)[1] == wanted


@pytest.mark.parametrize(
    "most",
    [
        pytest.param(30, id="some"),
        pytest.param(sys.maxsize, id="every", marks=pytest.mark.sweep),
    ],
)
@pytest.mark.parametrize("name", FAMILIES)
def test_a_default_that_is_left_out_is_the_same_skill(name, most):
    """Nor does it matter whether a request's settings are asked about or those of its exercise."""
    family = FAMILIES[name]
    choices = list(product(*((None, *setting) for setting in family.settings.values())))
    # in the order of chance, as one in so many would always have the same value of a setting
    for values in Random(name).sample(choices, min(most, len(choices))):
        settings = {key: v for key, v in zip(family.settings, values) if v is not None}
        key = parse_key("C major" if settings.get("forms") == "major" else "C minor")
        skills = set()
        for chosen in (settings, family.complete(settings)):
            if not family.problem(chosen, key, "both"):
                made = family.make(Request(key, "both", family.asks, 0, 2, chosen), Random(1))
                assert set(made.settings) == set(family.settings) and made.family == name
                assert None not in made.settings.values()
                skills |= {
                    family.skill(made.settings, "both", made.scale_form),
                    family.skill(chosen, "both", made.scale_form),
                }
        assert len(skills) <= 1 and all(one.isascii() for one in skills)


def test_skills_of_different_exercises_differ():
    """Every value of a setting that is a skill makes another one."""
    for family in FAMILIES.values():
        for name, setting in family.settings.items():
            if setting.skill and name != "forms":
                met = {key: values[0] for key, values in setting.where.items()}
                found = {family.skill({**met, name: value}, "right") for value in setting}
                assert len(found) == len(setting.values), (family.name, name)


def test_a_record_has_the_help_and_the_form():
    made = make("scale-fingering", given=3, octaves=2)
    assert (made.given, made.scale_form) == (3, "natural")
    assert made.settings == {
        "octaves": 2,
        "forms": "natural",
        "motion": "parallel",
        "apart": "octave",
        "direction": "up",
    }
    assert (
        make("arpeggio").scale_form == "" == make("keyboard-names", shape="tonic triad").scale_form
    )
    for hand, key in product(HANDS, ("D minor", "D major")):
        assert make("scale-writing", key, hand).scale_form in scale_forms(parse_key(key))
