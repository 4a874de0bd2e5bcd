"""The estimates: against integrals done plainly, and what must hold for any marks."""

from datetime import date

import numpy as np
import pytest

from workbook.estimates import belief as module
from workbook.estimates.belief import Belief, by_day
from workbook.estimates.calibration import course, courses
from workbook.estimates.prior import Prior
from workbook.estimates.results import ENOUGH, Cell, Estimate, Result, safe, week_of
from workbook.music.keys import ALL_KEYS

LEFT = "scale-fingering/left/harmonic"
A = Cell(LEFT, "A minor")


def result(cell, right, boxes, week=0.0, floor=0.0):
    return Result(week, cell, right, boxes, floor)


def estimates(results, cells, week=None):
    return course(results, cells, week).now.estimates()


def believe(results):
    found = Belief(one.cell for one in results)
    for _, day in by_day(results):
        found.learn(day)
    return found


def test_without_marks_the_band_is_wide_and_there_is_not_enough():
    found = estimates([], [A])[A]
    assert found.marks == 0 and not found.enough
    assert found.low < 0.4 < found.mean < 0.8 < found.high


@pytest.mark.parametrize("right", [0, 2, 5, 8])
@pytest.mark.parametrize("floor", [0.0, 0.25])
def test_one_exercise_gives_what_an_integral_gives(right, floor, monkeypatch):
    """Bayes' rule over a fine grid of logits and of exercises, without any approximation."""
    monkeypatch.setattr(module, "LEARNING", 0.0)
    prior, boxes = Prior(), 8
    spread = np.sqrt(prior.covariance([A])[0, 0])
    grid = np.linspace(-8, 8, 801)
    luck = np.linspace(-2.5, 2.5, 101)
    weight = np.exp(-0.5 * (luck / module.EXERCISE) ** 2)
    chance = floor + (1 - floor) / (1 + np.exp(-(grid[:, None] + luck)))
    seen = (chance**right * (1 - chance) ** (boxes - right)) @ weight
    after = seen * np.exp(-0.5 * ((grid - prior.mean([A])[0]) / spread) ** 2)
    after /= after.sum()
    wanted = after @ (chance @ weight / weight.sum())
    assert estimates([result(A, right, boxes, floor=floor)], [A])[A].mean == pytest.approx(
        wanted, abs=0.04
    )


def test_a_mark_moves_near_keys_more_than_far_ones():
    cells = [Cell(LEFT, key) for key in ("A minor", "E minor", "B minor", "Eb minor")]
    before, after = estimates([], cells), estimates([result(A, 0, 10)], cells)
    moved = [before[cell].mean - after[cell].mean for cell in cells]
    assert moved == sorted(moved, reverse=True) and moved[-1] > 0.02


def test_a_mark_moves_the_same_skill_and_family_more_than_others():
    cells = [Cell(name, "C major") for name in ("a/left", "a/right", "b/left")]
    before, after = estimates([], cells), estimates([result(cells[0], 10, 10)], cells)
    moved = [after[cell].mean - before[cell].mean for cell in cells]
    assert moved[0] > moved[1] > moved[2] > 0


def test_every_key_and_skill_makes_a_covariance():
    cells = [Cell(s, key.ascii) for key in ALL_KEYS for s in ("a/left", "a/right", "b")]
    cells.append(Cell("note-names/treble", ""))
    assert np.linalg.eigvalsh(Prior().covariance(cells)).min() > 0


def test_bands_narrow_with_marks_and_widen_with_time():
    def width(marks, week):
        found = estimates(marks, [A], week)[A]
        return found.high - found.low

    none, once = width([], 0), width([result(A, 6, 8)], 0)
    twice = width([result(A, 6, 8), result(A, 6, 8, week=1.0)], 1)
    assert none > once > twice
    assert once < width([result(A, 6, 8)], 8) < none


def test_the_order_of_results_is_that_of_time():
    marks = [result(A, right, 8, week) for week, right in enumerate((1, 4, 8))]
    assert estimates(marks[::-1], [A]) == estimates(marks, [A])


def test_right_answers_that_guessing_gives_say_less():
    def mean(floor):
        return believe([result(A, 5, 10, floor=floor)]).logits([A])[0][0]

    assert mean(0.5) < mean(0.25) < mean(0.0)


def test_practice_adds_to_what_the_marks_say(monkeypatch):
    learning = believe([result(A, 4, 8)]).logits([A])[0][0]
    monkeypatch.setattr(module, "LEARNING", 0.0)
    assert learning > believe([result(A, 4, 8)]).logits([A])[0][0]


def test_extreme_marks_stay_within_bounds():
    for right in (0, 60):
        marks = [result(A, right, 60, week, 0.6) for week in range(40)]
        found = estimates(marks, [A])[A]
        assert 0.6 <= found.low <= found.mean <= found.high <= 1
        assert found.marks == 2400


def test_marks_of_cells_that_are_not_asked_count_too():
    other = Cell(LEFT, "E minor")
    assert estimates([result(other, 8, 8)], [A])[A].mean > estimates([], [A])[A].mean
    assert list(estimates([result(other, 8, 8)], [A])) == [A]


def test_wider_bands_hold_the_narrow_ones():
    found = believe([result(A, 6, 8)])
    narrow, wide = found.estimates()[A], found.estimates(widen=1.5)[A]
    assert wide.low < narrow.low and narrow.high < wide.high


def test_safe_asks_for_the_low_end_and_enough_marks():
    assert safe(Estimate(0.9, 0.8, 0.95, ENOUGH), 0.8)
    assert not safe(Estimate(0.9, 0.79, 0.95, ENOUGH), 0.8)
    assert not safe(Estimate(0.9, 0.8, 0.95, ENOUGH - 1), 0.8)


@pytest.mark.parametrize("right,boxes,floor", [(3, 2, 0), (-1, 2, 0), (0, 0, 0), (1, 2, 1.0)])
def test_results_that_cannot_be(right, boxes, floor):
    with pytest.raises(ValueError):
        Result(0, A, right, boxes, floor)


def test_a_day_is_a_part_of_a_week():
    assert week_of(date(2027, 1, 19)) - week_of(date(2027, 1, 12)) == pytest.approx(1)


def test_nothing_at_all():
    assert estimates([], []) == {}
    belief = Belief([A])
    belief.learn([])
    assert belief.estimates() == estimates([], [A])


def test_a_cell_that_the_belief_has_not():
    with pytest.raises(KeyError):
        Belief([A]).learn([result(Cell("other", "C major"), 1, 2)])


def test_students_learn_together_what_each_learns_alone():
    """Days of one to four results, and students with more days than others."""
    rng = np.random.default_rng(5)
    cells = [Cell(skill, key.ascii) for skill in ("a/left", "b") for key in ALL_KEYS[:6]]
    students = [
        [
            result(cells[rng.integers(12)], int(rng.integers(6)), 5, float(day), 0.2)
            for day in range(days)
            for _ in range(int(rng.integers(1, 5)))
        ]
        for days in (5, 0, 1, 3)
    ]
    for found, together in zip(students, courses([(one, cells) for one in students], 6.0)):
        alone = course(found, cells, 6.0)
        assert np.array(together.log) == pytest.approx(np.array(alone.log), abs=1e-12)
        for name in ("mean", "variance", "floor", "marks"):
            assert getattr(together.now, name) == pytest.approx(getattr(alone.now, name), abs=1e-12)
        assert (together.before is None) == (alone.before is None)


@pytest.mark.parametrize("wide", [0.1, module._WIDE])
def test_the_covariance_is_that_of_a_filter_which_writes_it_out(wide, monkeypatch):
    """Against the Kalman filter as textbooks have it, with whole matrices."""
    monkeypatch.setattr(module, "_WIDE", wide)
    cells = [Cell(skill, key.ascii) for skill in ("a/left", "b") for key in ALL_KEYS[:6]]
    belief, before = Belief(cells), Prior().covariance(cells)
    whole, noises = before.copy(), []
    solve = np.linalg.solve
    monkeypatch.setattr(np.linalg, "solve", lambda s, b: noises.append(s[0]) or solve(s, b))
    for week in range(4):
        kept = (1 - module.DRIFT) ** (week > 0)
        whole = kept * whole + (1 - kept) * before
        at = [week, week + 5, week]
        belief.learn([result(cells[place], 3, 5, week) for place in at])
        columns = whole[:, at]
        whole = whole - columns @ solve(noises[-1], columns.T)
        _, variances = belief.logits(cells)
        assert variances == pytest.approx(np.diag(whole), abs=1e-12)
