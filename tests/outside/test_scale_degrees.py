"""Numbers and names of scale degrees, against music21's scales (see reading.py).

The names from two texts: "Essentials of Music Theory: Elementary", chapter 2
(cyberlibrary.org), which has tonic to submediant and the subtonic; "Scale-degree names"
(mail.deekor.com/music, lesson page L48), which tells leading tone (a half step below the
tonic) from subtonic (a whole step below).
"""

import pytest
import reading

from workbook.exercises.families.scale_degrees import name
from workbook.music.naming import ENGLISH, Naming

NAMES = {
    1: "tonic",
    2: "supertonic",
    3: "mediant",
    4: "subdominant",
    5: "dominant",
    6: "submediant",
}


def check(exercise):
    """Each number is music21's for the note in the scale of the label, each name its name."""
    tonic, form = reading.key(exercise.label).tonic, reading.form(exercise)
    scale = [p.name for p in reading.scale(tonic.name, form)[:7]]
    asked = {blank.asks for blank in exercise.blanks}
    for staff in exercise.staves:
        found = reading.notes(staff)
        degrees = [scale.index(p.name) + 1 for p in found]
        for asks in asked:
            blanks = reading.answers(exercise, asks, staff.hand)
            assert [b.column for b in blanks] == list(range(len(found)))
            for blank, degree, p in zip(blanks, degrees, found):
                assert reading.theirs(blank.of[0]) == p
                if asks == "degree":
                    assert blank.answer == str(degree)
                    assert blank.also in ((), ("8",)) and (degree == 1 or not blank.also)
                elif degree < 7:
                    assert blank.answer == NAMES[degree]
                else:
                    step = (tonic.pitchClass - p.pitchClass) % 12
                    assert blank.answer.split()[0] == {1: "leading", 2: "subtonic"}[step]


@pytest.mark.parametrize("ask", [("degree",), ("name",), ("degree", "name")])
def test_scale_degrees(ask):
    for exercise in reading.sample("scale-degrees", ask=ask):
        check(exercise)
        assert {blank.asks for blank in exercise.blanks} == set(ask)


def test_all_degrees_come():
    for exercise in reading.sample("scale-degrees"):
        assert {b.answer for b in reading.answers(exercise, "degree")} == set("1234567")


def test_the_seventh_is_called_as_the_page_calls_steps():
    assert name(7, True, ENGLISH) == ("leading tone", ("leading note",))
    assert name(7, True, Naming(steps="semitone")) == ("leading note", ("leading tone",))
    assert name(7, False, ENGLISH) == ("subtonic", ())
