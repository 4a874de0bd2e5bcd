"""Cadences by their last two chords.

Source: Open Music Theory, "Classical cadence types" (authentic: V or V7 to I;
half: ends on the triad of V in root position; perfect: both in root position,
tonic in the melody). Plagal and deceptive: common practice, no source.
"""

import pytest

from workbook.music.cadences import cadence, perfect
from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS
from workbook.music.progressions import chords, lead


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


def test_perfect():
    from workbook.music.keys import parse_key

    key = parse_key("C major")

    def last(text, start):
        steps = lead(chords(key, text), 4, "keyboard", start)[-2:]
        return [(s.harmony, (s.bass, *s.notes)) for s in steps]

    assert not perfect(*last("I IV V7 I", "root"))  # G in the melody
    assert perfect(*last("I IV V7 I", "1st"))  # C in the melody
    assert not perfect(*last("I IV V6 I", "1st"))
    assert not perfect(*last("I V IV I", "1st"))
