"""Every family in all 30 keys and for every hand, and the check values of the trade.

The check values are common practice, no source, unless a line names one.
"""

from random import Random

import pytest

from workbook.exercises import FAMILIES, Request
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import pitch, scientific, staff_degree

# Staff limits with two ledger lines: treble G3 to D6, bass B1 to F4 (from memory).
LIMITS = {"treble": ("G3", "D6"), "bass": ("B1", "F4")}


def make(family, key, hand="right", ask=None, given=0, seed=0, **settings):
    kind = FAMILIES[family]
    return kind.make(Request(parse_key(key) if isinstance(key, str) else key, hand,
                             ask or kind.asks, given, 2, settings), Random(seed))


def answers(exercise, asks, hand=None):
    columns = {}
    for blank in exercise.blanks:
        if blank.asks == asks and hand in (None, blank.hand):
            columns.setdefault(blank.column, []).append(blank.answer)
    return ["-".join(column) for _, column in sorted(columns.items())]


def cases():
    """Each family with every value of each of its settings, the others as they are."""
    for family in FAMILIES.values():
        choices = [{name: value} for name, values in family.settings.items() for value in values]
        for settings in choices or [{}]:
            yield family.name, settings


CASES = list(cases())


@pytest.mark.parametrize("family, settings", CASES)
@pytest.mark.parametrize("hand", HANDS)
def test_every_key_builds_within_two_ledger_lines(family, settings, hand):
    for key in ALL_KEYS:
        for seed in range(3):
            exercise = make(family, key, hand, seed=seed, **settings)
            assert len({len(staff.events) for staff in exercise.staves}) == 1
            assert len({blank.slot for blank in exercise.blanks}) == len(exercise.blanks)
            for staff in exercise.staves:
                for event in staff.events:
                    low, high = (staff_degree(pitch(p)) for p in LIMITS[event.clef])
                    assert all(low <= staff_degree(p) <= high for p in event.pitches), (
                        key, [scientific(p) for p in event.pitches])
                    assert list(event.pitches) == sorted(event.pitches, key=staff_degree)
            if hand == "both":
                right, left = exercise.staves
                assert all(staff_degree(l.pitches[0]) < staff_degree(r.pitches[0])
                           for r, l in zip(right.events, left.events) if r.pitches)


def test_spelling():
    run = [scientific(p) for e in make("scale-fingering", "G# minor", forms="harmonic"
                                       ).staves[0].events for p in e.pitches]
    assert "F##5" in run or "F##4" in run
    run = [scientific(p)[:-1] for e in make("scale-fingering", "Eb minor", forms="natural"
                                            ).staves[0].events for p in e.pitches]
    assert run[5] == "Cb"


def test_progression_in_c():
    exercise = make("progression", "C major", seed=1)
    chords = [[scientific(p)[:-1] for p in e.pitches] for e in exercise.staves[0].events]
    assert chords == [list("CEG"), list("CFA"), list("CEG"), list("BFG"), list("CEG")]
    assert answers(exercise, "finger") == ["1-3-5", "1-3-5", "1-3-5", "1-4-5", "1-3-5"]
    assert answers(exercise, "numeral") == ["I", "IV", "I", "V7", "I"]
    assert answers(make("progression", "C major", "left"), "finger") == [
        "5-3-1", "5-2-1", "5-3-1", "5-2-1", "5-3-1"]
    assert answers(make("progression", "A minor"), "chord") == ["Am", "Dm", "Am", "E7", "Am"]


def test_progression_has_one_shape_in_every_key():
    for key in ALL_KEYS:
        for numerals in ("full", "short"):
            for exercise in (make("progression", key, seed=s, numerals=numerals) for s in (1, 2)):
                shapes = answers(exercise, "finger")
                assert shapes[-2] == "1-4-5" and set(shapes) == {"1-3-5", "1-4-5"}


def test_inversions():
    right, left = make("inversions", "E major"), make("inversions", "E major", "left")
    assert answers(right, "position") == ["root", "1st", "2nd", "root", "2nd", "1st", "root"]
    assert answers(right, "finger")[:4] == ["1-3-5", "1-2-5", "1-3-5", "1-3-5"]
    assert answers(left, "finger")[:4] == ["5-3-1", "5-3-1", "5-2-1", "5-3-1"]


@pytest.mark.parametrize("key, numerals", [("D major", {"I", "IV", "V"}),
                                           ("D minor", {"i", "iv", "V"})])
def test_primary_chords(key, numerals):
    exercise = make("primary-chords", key)
    assert set(answers(exercise, "numeral")) == numerals
    assert answers(exercise, "finger") == ["1-3-5"] * 3


def test_given_blanks_are_so_many_and_leave_something_to_do():
    exercise = make("progression", "C major", given=2)
    for asks in ("numeral", "chord"):
        row = [blank for blank in exercise.blanks if blank.asks == asks]
        assert sum(blank.given for blank in row) == 2
    exercise = make("progression", "C major", given=99)
    assert any(not blank.given for blank in exercise.blanks)


def test_another_seed_gives_another_exercise():
    assert len({make("intervals", "C major", seed=s).blanks for s in range(10)}) > 5
    assert make("intervals", "C major", seed=3) == make("intervals", "C major", seed=3)
