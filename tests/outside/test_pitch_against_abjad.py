"""Sums of pitches and intervals, and interval names, against abjad (general-purpose library).

abjad's accessors are properties up to 3.19 and methods from 3.2x on.
"""

import abjad
import pytest

from workbook.music.pitch import Pitch, above, interval_name, scientific, semitone, staff_degree

ALL = [Pitch(4, step, signs) for step in range(7) for signs in range(-2, 3)]
INTERVALS = [
    f"{quality}{number}"
    for number in range(1, 16)
    for quality in ("P d A dd AA" if (number - 1) % 7 in (0, 3, 4) else "M m d A dd AA").split()
    if not (number == 1 and "d" in quality)
]


def value(attribute):
    return attribute() if callable(attribute) else attribute


def theirs(p):
    return abjad.NamedPitch(scientific(p))


def test_sums():
    compared = 0
    for p in ALL:
        for name in INTERVALS:
            up = theirs(p) + abjad.NamedInterval("+" + name)
            down = theirs(p) + abjad.NamedInterval("-" + name)
            for ours, wanted in ((name, up), ("-" + name, down)):
                try:
                    found = above(p, ours)
                except ValueError:
                    continue  # more than two signs
                assert theirs(found) == wanted, (p, ours)
                compared += 1
    assert compared > 4000


def test_names():
    for low in ALL:
        for step in range(15):
            for signs in range(-2, 3):
                high = Pitch(4 + (low.step + step) // 7, (low.step + step) % 7, signs)
                if step == 0 and high.signs < low.signs:
                    continue
                wanted = value(
                    abjad.NamedInterval.from_pitch_carriers(theirs(low), theirs(high)).name
                ).lstrip("+-")
                assert interval_name(low, high) == wanted, (low, high)
                assert (
                    semitone(high) - semitone(low) == value(abjad.NamedInterval(wanted).semitones)
                    or step == 0
                )
                assert staff_degree(high) - staff_degree(low) == step


def test_what_is_no_interval():
    for wrong in ("P3", "M5", "m1", "x2", "3", "P0", ""):
        with pytest.raises(ValueError):
            above(Pitch(4, 0, 0), wrong)
