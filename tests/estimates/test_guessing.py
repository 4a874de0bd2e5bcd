"""How often a guess is right."""

import pytest

from workbook.estimates.guessing import _FLOORS, floor_of, guessing_floor
from workbook.exercises.families import KINDS


def test_every_kind_of_answer_has_a_floor_and_no_other():
    assert set(_FLOORS) == set(KINDS)


def test_floors():
    assert 0.2 <= guessing_floor("finger") <= 0.3
    assert guessing_floor("step") == 0.5
    assert guessing_floor("finger", choices=2) == 0.5
    assert guessing_floor("something new", choices=20) == 0.05
    assert floor_of(["step", "finger"]) == pytest.approx(0.375)
    assert floor_of([]) == 0


def test_one_choice_is_none():
    with pytest.raises(ValueError):
        guessing_floor("finger", choices=1)
