"""Progressions as exercises have them, in all 30 keys: where a hand begins and ends, how V goes to
vi, which cadence comes last.

The checks read numerals and pitches and know nothing of the search. Common practice, no source,
but for V and vi: Prout, "Harmony: Its Theory and Practice", from memory. The ordinary run has
every fifth key, ``-m sweep`` all 30 with every start.
"""

from itertools import pairwise
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS
from workbook.music.pitch import semitone, staff_degree
from workbook.music.progressions import STARTS
from workbook.studio.templates import available, read_template

LISTS = ("full", "short", "I vi ii6 V7 I", "I IV ii6 V I", "I vi IV V I", "I V7 vi IV V7 I")
BROKEN = ("I V vi IV V I", "I IV V7 vi ii6 V7 I", "I V7 vi IV V7 I")
SHORT = {"full": "I IV I V7 I", "short": "I V7 I"}


def progressions(keys, hands, texts, style, starts=STARTS):
    kind = FAMILIES["progression"]
    for key in keys:
        for hand in hands:
            for text in texts:
                for start in starts:
                    settings = {"numerals": text, "style": style, "start": start}
                    if kind.problem(settings, key, hand):
                        continue
                    request = Request(key, hand, ("numeral",), 0, 2, settings)
                    yield text, kind.make(request, Random(f"{key}{hand}{text}{start}"))


def named(p) -> tuple[int, int]:
    return p.step, p.signs


def check_hand(exercise):
    """A hand that plays a whole progression ends on the chord that it began with."""
    for staff in exercise.staves:
        chords = [event.pitches for event in staff.events]
        assert chords[0] == chords[-1], exercise.label
        tonic = [named(p) for p in harmony(exercise.key, "I").tones(4)]
        assert {named(p) for p in chords[0]} == set(tonic)


def check_start(exercise, text):
    """It begins in the position asked for, unless a figure has it choose another."""
    if not any(char.isdigit() for char in text.replace("V7", "")):
        lowest = harmony(exercise.key, "I").tones(4)[STARTS.index(exercise.settings["start"])]
        for staff in exercise.staves:
            assert named(staff.events[0].pitches[0]) == named(lowest)


def breaks(exercise, text):
    """The columns of V or V7 with vi after it."""
    numerals = SHORT.get(text, text).split()
    return [n for n, pair in enumerate(pairwise(numerals)) if pair in {("V", "vi"), ("V7", "vi")}]


def check_break(exercise, column):
    """The leading tone rises a half step, and not all notes do; in four voices all others above
    the bass fall, and vi has its third twice.
    """
    key = exercise.key
    hand, *low = exercise.staves
    here, there = (hand.events[n].pitches for n in (column, column + 1))
    moves = [semitone(b) - semitone(a) for a, b in zip(here, there)]
    leading = named(harmony(key, "V").tones(4)[1])
    assert [move for p, move in zip(here, moves) if named(p) == leading] == [1]
    assert min(moves) < 0
    if exercise.settings["style"] == "keyboard":
        assert all(move < 0 for p, move in zip(here, moves) if named(p) != leading)
        (one,), (other,) = (low[0].events[n].pitches for n in (column, column + 1))
        assert staff_degree(other) - staff_degree(one) == 1
        third = named(harmony(key, "vi").tones(4)[1])
        assert [named(p) for p in (other, *there)].count(third) == 2


def check_all(keys, starts):
    seen = 0
    for text, exercise in progressions(keys, ("right", "left", "both"), LISTS, "close", starts):
        if exercise.settings["style"] == "close":
            check_hand(exercise)
            check_start(exercise, text)
        for column in breaks(exercise, text):
            check_break(exercise, column)
            seen += 1
    for text, exercise in progressions(keys, ("both",), BROKEN, "keyboard", starts):
        for column in breaks(exercise, text):
            check_break(exercise, column)
            seen += 1
    assert seen >= len(keys) * 5


def test_progressions_in_some_keys():
    check_all(ALL_KEYS[::5], STARTS[:1])


@pytest.mark.sweep
def test_progressions_in_all_keys():
    check_all(ALL_KEYS, STARTS)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_v_before_vi_is_played_with_both_hands(hand):
    """In one hand all notes would rise."""
    made = list(progressions(ALL_KEYS[::7], (hand,), ("I V vi IV V I",), "close", STARTS[:1]))
    assert made and all(one.hand == "both" for _, one in made)


def test_progressions_of_the_levels_end_with_a_full_cadence():
    found = 0
    for name in available():
        for section in read_template(available()[name]).sections:
            if section.family in ("progression", "missing-chord", "transposition"):
                for text in dict(section.settings).get("numerals", ("full",)):
                    *_, before, last = SHORT.get(text, text).split()
                    assert before.startswith("V") and last == "I", (name, text)
                    assert SHORT.get(text, text).split()[0] == "I"
                    found += 1
    assert found > 8
