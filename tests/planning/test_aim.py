"""What is set next, and the pace until the exam."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbook.estimates.results import Cell, Estimate
from workbook.planning.aim import Mistake, Why, aim
from workbook.planning.pace import forecast, new_this_week

KEYS = ("C major", "G major", "F major", "D major", "A minor")
CELLS = [Cell(skill, key) for key in KEYS for skill in ("scale-fingering/left", "inversions/right")]


def believed(met):
    """Estimates by cell: of cells met, with the low ends given, and of all others."""
    none = Estimate(0.6, 0.2, 0.9, 0)
    return {c: Estimate(0.8, met[c], 0.95, 12) if c in met else none for c in CELLS}


def whys(found):
    return [one.reason.why for one in found]


def test_corrections_then_new_ones_then_weak_ones():
    met = dict(zip(CELLS, (0.5, 0.15, 0.7, 0.1)))
    wrong = [Mistake(CELLS[0], 7, 8), Mistake(CELLS[2], 2, 8)]
    found = aim(CELLS, believed(met), 6, 3, wrong, [CELLS[0], CELLS[2]])
    assert [one.cell for one in found] == [
        CELLS[2],
        CELLS[0],
        CELLS[4],
        CELLS[5],
        CELLS[3],
        CELLS[1],
    ]
    assert whys(found) == [Why.WRONG] * 2 + [Why.NEW] * 2 + [Why.WEAK] * 2
    assert [one.reason.sentence() for one in found[1:5:2]] == [
        "7 of 8 right last time.",
        "Not met yet; 6 skills in keys to meet in 3 weeks.",
    ]
    assert found[2].reason.sentence("G major", pace=False) == "Not met yet in G major."
    assert found[4].reason.sentence() == (
        "Among the weakest; 10 to 95 of 100 boxes would be right."
    )


def test_the_pace_leaves_no_room_for_anything_else():
    found = aim(CELLS, believed({CELLS[0]: 0.1}), 3, 3, [Mistake(CELLS[0], 0, 8)])
    assert [one.cell for one in found] == CELLS[1:4]


def test_if_not_all_can_be_met_corrections_and_all_keys_come():
    assert len(CELLS) > 2 * 4
    wrong = [Mistake(CELLS[0], 0, 8), Mistake(CELLS[1], 4, 8), Mistake(CELLS[2], 7, 8)]
    found = aim(CELLS, believed(dict.fromkeys(CELLS[:1], 0.1)), 4, 2, wrong, CELLS[:1])
    assert whys(found) == [Why.WRONG] * 2 + [Why.NEW] * 2
    assert [one.cell for one in found[:2]] == CELLS[:2]
    met, weeks = {CELLS[0]: 0.1}, 4
    for left in range(weeks, 0, -1):
        met |= {one.cell: 0.5 for one in aim(CELLS, believed(met), 2, left)}
    assert len(met) < len(CELLS) and {cell.key for cell in met} == set(KEYS)
    assert {cell.skill for cell in met} == {cell.skill for cell in CELLS}


def test_before_the_first_mark_the_last_keys_come_with_a_skill_each():
    found = [one.cell for one in aim(CELLS, believed({}), 5, 5)]
    assert found[:2] == CELLS[:2]
    assert [cell.key for cell in found[2:]] == ["F major", "D major", "A minor"]
    assert {cell.skill for cell in found[2:]} == {cell.skill for cell in CELLS}


def test_what_is_not_marked_yet_waits():
    found = [one.cell for one in aim(CELLS, believed({}), 4, 5, recent=CELLS[:4])]
    assert found[:2] == CELLS[4:6] and not set(found) & set(CELLS[:4])
    last = aim(CELLS, believed({}), 10, 1, recent=CELLS[:4])
    assert [one.cell for one in last] == CELLS
    assert last[0].reason.sentence().startswith("Set last week and not marked yet")


def test_fewer_cells_than_exercises_come_twice():
    found = aim(CELLS[:2], believed(dict.fromkeys(CELLS, 0.5)), 5, 2, recent=CELLS)
    assert [one.cell for one in found] == [CELLS[i] for i in (0, 1, 0, 1, 0)]
    assert found[0].reason.again


def test_without_an_exam_a_third_is_new():
    met = dict.fromkeys(CELLS[:6], 0.1)
    assert whys(aim(CELLS, believed(met), 6, None)).count(Why.NEW) == 2
    assert aim(CELLS, believed({}), 1, None)[0].reason.sentence() == "Not met yet."


def test_what_cannot_be_planned():
    with pytest.raises(ValueError):
        aim([], {}, 5, 2)
    with pytest.raises(ValueError):
        aim(CELLS, believed({}), -1, 2)
    with pytest.raises(ValueError):
        aim(CELLS, believed({}), 5, 0)


@settings(deadline=2000)
@given(st.integers(1, 12), st.integers(0, 30), st.sets(st.sampled_from(CELLS)), st.randoms())
def test_all_that_fits_is_met_by_the_exam(weeks, exercises, before, random):
    met = dict.fromkeys(sorted(before, key=CELLS.index), 0.5)
    fits = exercises * weeks >= len(CELLS) - len(met)
    recent, wrong = [], []
    for left in range(weeks, 0, -1):
        found = aim(CELLS, believed(met), exercises, left, wrong, recent)
        assert len(found) == exercises
        cells = [one.cell for one in found]
        if exercises <= len(CELLS):
            assert len(set(cells)) == exercises
        for cell in cells:
            met[cell] = random.random()
        recent, wrong = cells, [Mistake(cell, random.randint(0, 8), 8) for cell in cells]
    assert fits <= (set(met) == set(CELLS))


def test_the_forecast_is_even_and_in_order():
    found = forecast(CELLS, 4, 3)
    assert [len(week) for week in found.weeks] == [3, 3, 2, 2]
    assert [cell for week in found.weeks for cell in week] == CELLS
    assert not found.too_many


def test_the_forecast_says_what_no_longer_fits():
    found = forecast(CELLS, 3, 2)
    assert found.too_many == tuple(CELLS[6:])
    assert found.needed == 4
    assert found.keys_too_many == ("D major", "A minor")
    assert not forecast(CELLS, 3, found.needed).too_many
    planned = [cell for week in found.weeks for cell in week]
    assert len(planned) == 6 and {cell.key for cell in planned} == set(KEYS)


def test_after_the_exam_nothing_fits():
    assert forecast(CELLS, 0, 5).too_many == tuple(CELLS)
    with pytest.raises(ValueError):
        forecast(CELLS, -1, 5)


def test_pace():
    assert new_this_week(10, 3, 20) == 4
    assert new_this_week(10, 3, 2) == 2
    assert new_this_week(0, 3, 20) == 0
