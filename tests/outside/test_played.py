"""The families that are played, for every hand and setting (see played.py)."""

import pytest
import reading
from checks import check
from fingers import crossings

from workbook.music.keys import parse_key


@pytest.mark.parametrize(
    "family",
    [
        "scale-fingering",
        "chromatic-scale",
        "five-finger",
        "thumb-crossings",
        "primary-chords",
        "inversions",
        "arpeggio",
        "broken-chord",
        "intervals",
    ],
)
def test_every_answer(family):
    count = 0
    for exercise in reading.sample(family, keys=reading.SOME_KEYS):
        count += check(exercise).total()
    assert count > 500


def test_crossings_of_known_fingerings():
    """C major over one octave: the thumb under after 3, the third finger over (hand values)."""
    assert "".join(crossings("12312345", "right", True)) == "–––1––––"
    assert "".join(crossings("12312345", "right", False)) == "––3–––––"
    assert "".join(crossings("54321321", "left", True)) == "–––––3––"
    assert "".join(crossings("54321321", "left", False)) == "––––1–––"


def test_a_melodic_scale_comes_down_as_any_of_the_natural_forms_fingerings():
    """B minor, left hand: the Evansville page ends it on the thumb, Beringer on the fourth."""
    exercise = next(
        e
        for e in reading.sample("thumb-crossings", keys=[parse_key("B minor")], forms="melodic")
        if e.hand == "left"
    )
    assert exercise.blanks[-1].answer == "–" and "1" in exercise.blanks[-1].also
