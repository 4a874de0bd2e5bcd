"""Skills in words: every setting that makes a skill has them."""

import pytest

from workbook.exercises.families import FAMILIES
from workbook.exercises.skill_names import WORDS, skill_name
from workbook.music.naming import ENGLISH, Naming

BRITISH = Naming(steps="semitone")


def told(skill: str, naming: Naming = ENGLISH, key: bool = False) -> str:
    return skill_name(skill, naming, key)


@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda one: one.name)
def test_every_value_that_makes_a_skill_has_words(family):
    names = set()
    for name, setting in family.settings.items():
        for value in setting.values if setting.skill else ():
            assert value in WORDS[name]
            skill = family.skill(family.complete({name: value}), "right")
            words = told(skill)
            assert words.startswith(family.title)
            assert "/" not in words
            names.add((skill, words))
    assert len({skill for skill, _ in names}) == len({words for _, words in names})


@pytest.mark.parametrize(
    "skill, words",
    [
        ("note-values/beats task/eighths values", "Note values with eighths, counted in beats"),
        (
            "scale-fingering/left/harmonic/2 octaves",
            "Scale fingering, left hand, harmonic minor, 2 octaves",
        ),
        ("inversions/right", "Chord inversions, right hand"),
        ("interval-numbers/bass/melodic notes", "Interval numbers, bass clef, melodic"),
        ("played/arpeggio/both", "Played: Arpeggios, hands together"),
        ("of a later version/left", "of a later version/left"),
    ],
)
def test_a_skill_reads_as_a_teacher_says_it(skill, words):
    assert told(skill) == words


def test_british_words_and_major_beside_a_key():
    assert told("counting/eighths values", BRITISH) == "Counting with quavers"
    assert told("half-steps/treble", BRITISH) == "Semitones, treble clef"
    assert told("scale-fingering/left/major", key=True) == "Scale fingering, left hand"
    assert told("scale-fingering/left/melodic", key=True) == "Scale fingering, left hand, melodic"
