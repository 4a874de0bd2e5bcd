"""The fingering table: complete, playable, and equal to the check values of the trade.

Sources: scales and arpeggios against a University of Evansville faculty page,
"Scale and Arpeggio Fingerings" (two-octave strings read there, listed below
where it agrees to the digit); chord shapes and the V7 shape: common practice,
no source; the rules (thumb off black keys, one fourth finger per octave, same
finger on the same note): from memory.
"""

import pytest

from workbook.fingering import conventions
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import is_black
from workbook.music.scales import ascending, descending, forms

CASES = [(key, form, hand) for key in ALL_KEYS for form in forms(key)
         for hand in ("right", "left")]

EVANSVILLE = [  # key, right, left: two octaves up
    ("C major", "123123412312345", "543213214321321"),
    ("E major", "123123412312345", "543213214321321"),
    ("Bb major", "412312341231234", "321432132143213"),
    ("Eb major", "312341231234123", "321432132143213"),
    ("Ab major", "341231234123123", "321432132143213"),
    ("F# major", "234123123412312", "432132143213214"),
    ("C# major", "231234123123412", "321432132143213"),
    ("Eb minor", "312341231234123", "214321321432132"),
    ("Bb minor", "412312341231234", "213214321321432"),
    ("G# minor", "341231234123123", "321432132143213"),
    ("C# minor", "341231234123123", "321432132143213"),
    ("F# minor", "341231234123123", "432132143213214"),
]


def up(key, form, hand, octaves):
    return "".join(f.finger for f in conventions.scale(key, form, hand, octaves)[:7 * octaves + 1])


@pytest.mark.parametrize("name, right, left", EVANSVILLE)
def test_scales_against_a_published_page(name, right, left):
    key = parse_key(name)
    form = "harmonic" if key.minor else "major"
    assert (up(key, form, "right", 2), up(key, form, "left", 2)) == (right, left)


@pytest.mark.parametrize("name, form, right, left", [
    ("C major", "major", "12312345", "54321321"),
    ("Bb major", "major", "41231234", "32143213"),
    ("F# minor", "harmonic", "34123123", "43213214")])
def test_one_octave_check_values(name, form, right, left):  # common practice, no source
    key = parse_key(name)
    assert (up(key, form, "right", 1), up(key, form, "left", 1)) == (right, left)


@pytest.mark.parametrize("key, form, hand", CASES)
@pytest.mark.parametrize("octaves", [1, 2, 3, 4])
def test_rules_hold(key, form, hand, octaves):
    notes = ascending(key, form, 2, octaves) + descending(key, form, 2, octaves)[1:]
    fingers = conventions.scale(key, form, hand, octaves)
    assert len(fingers) == len(notes) == 14 * octaves + 1
    digits = [int(f.finger) for f in fingers]
    assert not [n for n, d in zip(notes, digits) if d == 1 and is_black(n)]
    for a, b in zip(digits, digits[1:]):
        assert a != b
    if octaves > 1:  # away from the ends the same note has the same finger
        middle = digits[1:7 * octaves]
        assert all(a == b for a, b in zip(middle, middle[7:]))
        assert middle[:7].count(4) == 1


@pytest.mark.parametrize("name, right, left", [
    ("C major", "1235321", "5421245"), ("D major", "1235321", "5321235"),
    ("Db major", "4124214", "2142412"), ("Ab major", "4124214", "2142412"),
    ("B minor", "1235321", "5421245"), ("Eb minor", "1235321", "5421245")])
def test_arpeggios(name, right, left):
    """D, B minor, E flat minor: Beringer and Dunhill 1900, in the data set pydactyl."""
    key = parse_key(name)
    assert "".join(f.finger for f in conventions.arpeggio(key, "right")) == right
    assert "".join(f.finger for f in conventions.arpeggio(key, "left")) == left


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_every_key_has_an_arpeggio(key):
    assert all(len(conventions.arpeggio(key, hand)) == 7 for hand in ("right", "left"))


def test_chord_shapes():  # common practice, no source
    shapes = {s: tuple("".join(f.finger for f in conventions.chord(s, h)) for h in ("right", "left"))
              for s in ("root", "1st", "2nd", "v7-third")}
    assert shapes == {"root": ("135", "531"), "1st": ("125", "531"),
                      "2nd": ("135", "521"), "v7-third": ("145", "521")}
