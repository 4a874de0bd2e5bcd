"""The log of how often next week's marks fell into the band."""

import numpy as np
import pytest

from workbook.estimates.calibration import Forecast, calibration, cover, forecasts
from workbook.estimates.results import Cell, Result

RNG = np.random.default_rng(3)


def log(believed: float, true: float, count: int = 3000) -> list[Forecast]:
    """Forecasts with a standard deviation that is believed, of logits that have another."""
    found = []
    for boxes in RNG.integers(2, 12, count):
        logit = 0.5 + true * RNG.standard_normal() + 0.5 * RNG.standard_normal()
        right = RNG.binomial(boxes, 0.2 + 0.8 / (1 + np.exp(-logit)))
        found.append(Forecast(0.5, believed**2, 0.2, int(right), int(boxes)))
    return found


def test_a_band_that_is_right_covers_four_fifths():
    found = calibration(log(0.7, 0.7))
    assert found.cover == pytest.approx(0.8, abs=0.02)
    assert found.widen <= 1.2
    assert found.exercises == 3000


def test_a_band_that_is_too_narrow_is_widened():
    narrow = log(0.4, 1.0)
    found = calibration(narrow)
    assert found.cover < 0.75
    assert 1.8 < found.widen <= 3
    assert cover(narrow, found.widen) >= 0.8 > cover(narrow, found.widen - 0.11)


def test_a_band_that_is_too_wide_stays():
    assert calibration(log(1.5, 0.3)).widen == 1


def test_a_short_log_says_nothing():
    assert calibration(log(0.1, 2.0, 30)).widen == 1
    assert calibration([]).exercises == 0


def test_the_brier_score():
    sure = [Forecast(9.0, 0.0, 0.0, 3, 4)]
    assert calibration(sure).brier == pytest.approx(0.25, abs=0.01)


def test_forecasts_know_only_earlier_days():
    cell = Cell("inversions/left", "C major")
    first, second, third = forecasts(
        [Result(0, cell, 0, 8), Result(0, cell, 0, 8), Result(1, cell, 8, 8)]
    )
    assert first == second
    assert third.mean < first.mean and third.variance < first.variance
    assert (third.right, third.boxes) == (8, 8)
