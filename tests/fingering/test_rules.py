"""The rules over every entry of the tables; each rule catches what it forbids."""

import pytest
import rules

from workbook.fingering.conventions import traditional
from workbook.music.keys import parse_key

ENTRIES = traditional().entries


def test_every_entry_meets_every_rule_or_is_a_named_exception():
    assert rules.unexplained(ENTRIES) == []


def test_no_exception_is_idle():
    broken = {(b.rule, rules.named(b.subject), b.hand) for b in rules.breaches(ENTRIES)}
    assert broken == set(rules.EXCEPTIONS)


def test_first_choices_break_no_rule_but_the_mirror_and_some_sevenths():
    for breach in rules.breaches(ENTRIES):
        if breach.digits == ENTRIES[breach.subject, breach.hand][0]:
            assert breach.rule == "thumbs_mirror" or "seventh" in breach.subject[0]


C, BB, D = (parse_key(f"{name} major") for name in ("C", "Bb", "D"))


@pytest.mark.parametrize(
    "rule, subject, hand, digits",
    [
        ("thumb_on_white", ("scale", BB, "major"), "right", "123123412312345"),
        ("same_in_each_octave", ("scale", C, "major"), "right", "123123412341234"),
        ("fifth_at_an_end", ("scale", C, "major"), "right", "123451212312345"),
        ("one_fourth_finger", ("scale", C, "major"), "right", "123123112312312"),
        ("threes_and_fours", ("scale", C, "major"), "right", "121231212312345"),
        ("no_finger_twice", ("scale", C, "major"), "right", "122123412312345"),
        ("thumbs_mirror", ("scale", parse_key("B major"), "major"), "right", "123412312341231"),
        ("arpeggios_mirror", ("arpeggio", D, "root"), "right", "1341345"),
        ("thumb_on_white", ("arpeggio", D, "1st"), "right", "1241245"),
    ],
)
def test_a_bad_fingering_is_caught(rule, subject, hand, digits):
    assert ENTRIES[subject, hand][0] != digits
    caught = {b.rule for b in rules.unexplained(ENTRIES | {(subject, hand): (digits,)})}
    assert rule in caught


def test_all_black_chords_may_have_the_thumb_on_black():
    keys = [3, 6, 10, 15, 18, 22, 27]
    assert rules.thumb_on_white(keys, "1231235")
    assert not rules.thumb_on_white([2, *keys], "21231235")
