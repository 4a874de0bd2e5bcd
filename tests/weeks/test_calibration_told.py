"""The sentence that says how well estimates came true."""

from __future__ import annotations

import pytest

from workbook.estimates.calibration import Calibration
from workbook.weeks.progress_pages import calibration_told

AS_LIKELY = "turned out as earlier marks had suggested; 80 % should."


@pytest.mark.parametrize(
    "log, said",
    [
        (Calibration(0, 0.0, 1.0, 0.0), "Nothing is marked yet."),
        (Calibration(1, 1.0, 1.0, 0.1), f"Of 1 marked exercise, 100 % {AS_LIKELY}"),
        (Calibration(95, 0.874, 1.0, 0.1), f"Of 95 marked exercises, 87 % {AS_LIKELY}"),
        (
            Calibration(95, 0.7, 1.3, 0.1),
            f"Of 95 marked exercises, 70 % {AS_LIKELY} The bands are therefore 1.3 times as wide.",
        ),
    ],
)
def test_bands_are_told_of_only_where_they_are_wider(log, said):
    assert calibration_told(log) == said
