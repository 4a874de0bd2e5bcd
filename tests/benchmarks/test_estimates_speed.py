"""Work on one core for the estimates of a studio: 30 students, 12 weeks, 60 exercises a week."""

import random
import time

from workbook.estimates.calibration import course
from workbook.estimates.results import Cell, Result
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR

CELLS = [
    Cell(f"family-{number // 3}/{number}", key.ascii)
    for key in TWELVE_MAJOR + TWELVE_MINOR
    for number in range(15)
]


def test_a_studio_in_well_under_a_second_and_a_half():
    rng = random.Random(1)
    students = [
        [
            Result(week, cell, rng.randint(2, 8), 8, 0.2)
            for week in range(12)
            for cell in rng.sample(CELLS, 60)
        ]
        for _ in range(30)
    ]
    best = float("inf")
    for _ in range(5):
        began = time.process_time()
        for results in students:
            course(results, CELLS).now.estimates()
        best = min(best, time.process_time() - began)
    print(f"\nestimates of 30 students: {best:.2f} s (target 1.5)")
    assert best < 1.5
