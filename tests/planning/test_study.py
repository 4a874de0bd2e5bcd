"""Study pages: everything worked, or the same shares taken out each time."""

import itertools

import pytest

from workbook.exercises.model import DRAWN
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.planning.study import SHARES, study
from workbook.studio.templates import available, read_template

LEVELS = {
    name: read_template(path) for name, path in available().items() if name.startswith("level")
}


def open_slots(plan):
    return {(item.number, blank.tag) for item in plan.items for blank in item.exercise.asked}


@pytest.mark.parametrize("name", LEVELS)
def test_worked_pages_ask_nothing(name):
    for key in ALL_KEYS[::3]:
        plan = study(LEVELS[name], key)
        assert plan.items and not open_slots(plan)
        for item in plan.items:
            exercise = item.exercise
            assert not any(
                event.written or event.signature_written
                for staff in exercise.staves
                for event in staff.events
            )
            assert not getattr(exercise.figure, "shaded", ())
            assert not any(blank.asks in DRAWN for blank in exercise.blanks)


def test_a_larger_share_takes_out_all_that_a_smaller_one_does():
    for name in ("level-02", "level-06", "level-09"):
        for key in map(parse_key, ("C major", "G# minor")):
            plans = [study(LEVELS[name], key, share) for share in SHARES]
            found = [open_slots(plan) for plan in plans]
            for less, more in itertools.pairwise(found):
                assert less < more
            whole = len(found[-1])
            assert [round(100 * len(slots) / whole) for slots in found] == [
                pytest.approx(share, abs=3) for share in SHARES
            ]
            music = [
                [
                    (
                        item.exercise.label,
                        [[e.pitches for e in s.events] for s in item.exercise.staves],
                    )
                    for item in plan.items
                ]
                for plan in plans
            ]
            assert all(one == music[0] for one in music)


def test_answers_do_not_change_when_taken_out():
    template, key = LEVELS["level-06"], parse_key("E major")
    answers = {
        (i.number, b.tag): b.answer
        for i in study(template, key, 100).items
        for b in i.exercise.blanks
    }
    for item in study(template, key, 50).items:
        for blank in item.exercise.blanks:
            assert answers[item.number, blank.tag] == blank.answer
