"""The sweep: exercises of every family against music21 and published tables.

A sample runs with the other tests; ``pytest -m sweep -s`` runs all of it and prints what
was counted. Where the sources have no say, and how that is counted, stands in fingers.py.
"""

import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from random import Random

import pytest
from asked import Request
from sweeping import Found, at_random, shipped, systematic
from words import compare, name, steps_in

from workbook.exercises.families import FAMILIES
from workbook.exercises.family import NO_KEY
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.naming import ENGLISH, Naming
from workbook.studio.templates import available

SAMPLE, ALL, CHUNK, SEEDS = 700, 100_000, 500, 25


def cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()


def together(work, *shares) -> Found:
    """What ``work`` finds for each share, on all cores."""
    found = Found()
    with ProcessPoolExecutor(cores()) as pool:
        for part in pool.map(work, *shares):
            found += part
    print(f"\n{found.told()}")
    return found


def test_a_sample_at_random():
    found = at_random(range(ALL, ALL + SAMPLE))
    assert not found.differences, found.told()
    assert found.exercises.total() == SAMPLE and set(found.exercises) == set(FAMILIES)
    assert found.renamed > SAMPLE / 10


def test_a_sample_of_the_templates():
    found = Found()
    for template in available():
        found += shipped(template, [1])
    assert not found.differences, found.told()
    assert found.exercises.total() > 10 * len(available())


def test_a_difference_is_told(monkeypatch):
    import sweeping

    monkeypatch.setattr(sweeping, "check", lambda exercise: 1 / 0)
    assert len(at_random(range(5)).differences) == 5


def test_words():
    """Hand values; the names are compared with music21's in test_naming.py."""
    assert [name("B♭", language) for language in ("german", "italian", "french")] == [
        "B",
        "Si♭",
        "Si♭",
    ]
    assert name("F𝄪", "spanish") == "Fa𝄪" and name("B", "german") == "H"
    assert steps_in("Half steps up or down", "semitone") == "Semitones up or down"


@pytest.mark.sweep
def test_every_family_key_hand_and_setting():
    found = together(systematic, FAMILIES)
    assert not found.differences, found.told()
    assert all(found.exercises[family] >= len(ALL_KEYS) for family in FAMILIES)


@pytest.mark.sweep
def test_every_template_in_all_keys():
    names = sorted(available())
    found = together(shipped, names, [range(SEEDS)] * len(names))
    assert not found.differences, found.told()


@pytest.mark.sweep
def test_a_hundred_thousand_at_random():
    found = together(at_random, [range(n, n + CHUNK) for n in range(0, ALL, CHUNK)])
    assert not found.differences, found.told()
    assert found.exercises.total() == ALL and len(found.exercises) == len(FAMILIES)


def in_two_words(family, key, naming, **settings):
    """An exercise in English and in other words."""
    request = Request(parse_key(key), "right", FAMILIES[family].asks, 0, 2, settings)
    return [
        FAMILIES[family].make(replace(request, naming=one), Random(1)) for one in (ENGLISH, naming)
    ]


def test_minor_keys_of_the_circle_and_a_signature_without_signs():
    """The one stays small where letters are English, the other is "none" in every language."""
    british, french = Naming("english", "semitone"), Naming("french", "half step")
    one, other = in_two_words("circle-of-fifths", "E major", british)
    compare(one, other, british)
    assert any(blank.answer == "a" for blank in other.blanks)
    one, other = in_two_words("key-signatures", "A minor", french, task="write")
    compare(one, other, french)
    assert any(blank.answer == "none" for blank in other.blanks)


def test_a_rhythm_is_found_where_few_bars_fit():
    """Of quarter notes in 2/4, no two bars have four notes (found at random, number 29438)."""
    request = Request(NO_KEY, "right", ("value",), 0, 2, {"rests": False})
    assert FAMILIES["rhythm-copying"].make(request, Random(29438)).asked
