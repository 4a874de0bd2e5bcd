"""Cadences by their last two chords.

Source: Open Music Theory, "Classical cadence types" (authentic: V or V7 to I;
half: ends on the triad of V in root position). Plagal and deceptive: common practice, no source.
"""

import pytest

from workbook.music.cadences import cadence
from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS


@pytest.mark.parametrize(
    "pair, name",
    [
        ("V I", "authentic"),
        ("V7 I", "authentic"),
        ("vii°6 I", "authentic"),
        ("V6 I", "authentic"),
        ("IV V", "half"),
        ("ii6 V", "half"),
        ("I V", "half"),
        ("V7/V V", "half"),
        ("IV I", "plagal"),
        ("iv6 I", "plagal"),
        ("V vi", "deceptive"),
        ("V7 vi", "deceptive"),
        ("I IV", None),
        ("V IV", None),
        ("I V6", None),
        ("ii V7", None),
        ("V I7", None),
        ("V7/IV IV", None),
        ("vi I", None),
        ("V7/V V7", None),
        ("V7 V", None),
        ("I V7/IV", None),
    ],
)
def test_names(pair, name):
    for key in ALL_KEYS:
        assert cadence(*(harmony(key, n) for n in pair.split())) == name


def test_a_minor_v_makes_no_authentic_cadence():
    for key in ALL_KEYS:
        if key.minor:
            assert cadence(harmony(key, "v"), harmony(key, "i")) is None
            assert cadence(harmony(key, "VII"), harmony(key, "i")) is None
