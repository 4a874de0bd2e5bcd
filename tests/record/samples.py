"""Exercises of every family as items of a record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from random import Random

from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.exercises.model import HANDS, Exercise
from workbook.music.keys import ALL_KEYS, Key, parse_key
from workbook.music.naming import ENGLISH, Naming
from workbook.record.from_exercise import item
from workbook.record.model import Item, Marking, Record, Section

SOME_KEYS = tuple(map(parse_key, ("C major", "Bb major", "F# minor", "Ab minor")))
NAMINGS = (ENGLISH, Naming("german", "semitone"), Naming("french"))


def settings_of(family: Family) -> list[dict]:
    """Every value of each setting, the others as they are."""
    return [
        {},
        *({name: value} for name, values in family.settings.items() for value in values.values),
    ]


def exercises(
    keys: Iterable[Key] = SOME_KEYS,
    hands: Iterable[str] = HANDS,
    namings: Iterable[Naming] = (ENGLISH,),
    given: int = 0,
) -> Iterator[tuple[Exercise, dict]]:
    keys, hands, namings = list(keys), list(hands), list(namings)
    for family in FAMILIES.values():
        for settings in settings_of(family):
            for number, key in enumerate(keys):
                for hand in hands:
                    if family.problem(settings, key, hand):
                        continue
                    for naming in namings:
                        request = Request(key, hand, family.asks, given, 2, settings, naming)
                        yield family.make(request, Random(f"{number}{hand}")), settings


def as_item(exercise: Exercise, number: int = 1) -> Item:
    places = {
        blank[:4]: (1 + place // 20, (36.0, 700.5 - place, 50.25, 714.0 - place))
        for place, blank in enumerate(exercise.asked)
    }
    family = FAMILIES[exercise.family]
    return item(
        exercise,
        number=number,
        points=6,
        page=1,
        places=places,
        skill=family.skill(exercise.settings, exercise.hand, exercise.scale_form),
    )


def items(**wanted) -> Iterator[Item]:
    for exercise, _ in exercises(**wanted):
        yield as_item(exercise)


def record(made: Iterable[tuple[Exercise, dict]]) -> Record:
    found = tuple(as_item(exercise, number) for number, (exercise, _) in enumerate(made, 1))
    half = len(found) // 2
    return Record(
        'Pippa "Q" Marrowby',
        "review",
        "Spring – 1",
        "",
        "april",
        "ABC-DEF",
        "letter",
        "normal",
        6 * len(found),
        (
            Section("A", "First", Marking.ONE_OFF, found[:half]),
            Section("B", "Second", Marking.SHARE, found[half:]),
        ),
    )


EVERY_KEY = ALL_KEYS
