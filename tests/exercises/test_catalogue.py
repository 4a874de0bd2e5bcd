"""What is wrong in the declaration of a family is told in a sentence, as it is imported."""

from dataclasses import replace
from types import ModuleType

import pytest

from workbook.exercises.answers import FINGER, NOTES, AnswerKind
from workbook.exercises.catalogue import FamilyError, collect
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.family import Family
from workbook.exercises.settings import Setting
from workbook.studio import templates

GOOD = Family("blue-notes", "Blue notes", (FINGER,), {"octaves": Setting((1, 2), 1)}, None)


def module(family, file="blue_notes.py"):
    found = ModuleType(file[:-3])
    found.__file__ = f"families/{file}"
    if family:
        found.FAMILY = family
    return found


def told(*modules) -> str:
    with pytest.raises(FamilyError) as caught:
        collect(modules)
    return str(caught.value)


def test_a_family_and_what_it_asks():
    families, kinds = collect([module(GOOD)])
    assert families == {"blue-notes": GOOD} and kinds == {"finger": FINGER}


def with_setting(**changed):
    return replace(GOOD, settings={"octaves": replace(GOOD.settings["octaves"], **changed)})


@pytest.mark.parametrize(
    "family, sentence",
    [
        (None, "blue_notes.py has no family"),
        (replace(GOOD, name="blues"), "the name is not that of its file"),
        (replace(GOOD, title=" "), "the title is missing"),
        (replace(GOOD, by="foot"), 'by is "foot"'),
        (replace(GOOD, kinds=()), "asks nothing"),
        (replace(GOOD, kinds=(FINGER, FINGER)), "twice"),
        (replace(GOOD, kinds=(AnswerKind("hue", "a hue", None),)), 'asks "hue" has no size'),
        (replace(GOOD, others=(AnswerKind("hue", "a hue", None),)), 'asks "hue" has no size'),
        (replace(GOOD, others=(replace(NOTES, size=(3, 3)),)), '"notes" is drawn on the music'),
        (replace(GOOD, kinds=(replace(FINGER, about=""),)), '"finger" is not explained'),
        (with_setting(default=3), "octaves: the default 3 is not among the values"),
        (with_setting(values=()), "octaves: it has no values"),
        (with_setting(default=None, skill=True), "left to chance cannot be a skill"),
        (with_setting(values=("1/2",), default="1/2", skill=True), "no slash"),
        (with_setting(values=("é",), default="é", skill=True), "ASCII"),
        (with_setting(where={"motion": ("up",)}), 'where names "motion", which is not a setting'),
        (replace(GOOD, no_staff={"octaves": (3,)}), "names 3, which is not a value of octaves"),
    ],
)
def test_what_is_wrong(family, sentence):
    said = told(module(family))
    assert sentence in said and "blue_notes.py" in said
    assert family is None or f'"{family.name}"' in said


def test_two_families_of_one_name():
    assert 'family "blue-notes" in blue_notes.py: blue_notes.py has a family of that name' in told(
        module(GOOD), module(replace(GOOD, title="Others"))
    )


def test_one_kind_of_answer_declared_twice():
    other = Family("hues", "Hues", (replace(FINGER, size=(9.0, 4.0)),), {}, None)
    assert told(module(GOOD), module(other, "hues.py")) == (
        'family "hues" in hues.py: another family declares "finger", which it asks, in another way'
    )


def test_everything_wrong_is_told_at_once():
    said = told(module(replace(GOOD, title="", kinds=())), module(None, "reds.py"))
    assert len(said.split("\n")) == 3


def test_no_setting_has_the_name_of_a_key_of_every_section():
    taken = {*templates._SECTION_KEYS}
    assert not any(taken & set(family.settings) for family in FAMILIES.values())


def test_no_kind_of_answer_is_declared_and_not_used():
    used = {kind for f in FAMILIES.values() for kind in (*f.kinds, *f.others)}
    assert used == set(KINDS.values())
