"""Whole-tone scales that the student writes, against the scale and the intervals of music21.

music21 spells the scale in whole steps throughout, which needs double signs or a last note that
is not the first one's name; so its piano keys are compared, and each spelling by its intervals.
"""

from functools import cache
from itertools import pairwise, product
from random import Random

import reading
from asked import Request
from music21 import interval as m21interval
from music21 import pitch as m21pitch
from music21 import scale as m21scale

from workbook.exercises.families import FAMILIES
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.music.keys import parse_key
from workbook.record.from_exercise import unplaced

SIGNS = ("", "#", "-")


@cache
def spellings(tonic: str) -> set[tuple[str, ...]]:
    """All spellings upwards: a name of each piano key with one sign at most, from letter to
    letter in major seconds but for one diminished third."""
    low = m21pitch.Pitch(tonic + "3")
    keys = [p.ps for p in m21scale.WholeToneScale(tonic).getPitches(low, low.transpose("P8"))]
    assert [b - a for a, b in pairwise(keys)] == [2] * 6
    near = [m21pitch.Pitch(f"{x}{s}{o}") for x in "ABCDEFG" for s in SIGNS for o in (2, 3, 4, 5)]
    names = [[p for p in near if p.ps == key] for key in keys]
    names[0], names[-1] = [low], [low.transpose("P8")]
    return {
        tuple(p.name for p in line)
        for line in product(*names)
        if sorted(m21interval.Interval(a, b).name for a, b in pairwise(line)) == ["M2"] * 5 + ["d3"]
    }


def check(exercise):
    """The notes spell the scale of the label, and every other spelling is accepted, whole."""
    words = "Whole-tone scale starting on "
    assert exercise.label.startswith(words) and not exercise.signed
    tonic = reading.read(exercise.label.removeprefix(words).split(",")[0])
    assert tonic == reading.theirs_key(exercise)[0]
    turn = -1 if "going down" in exercise.label else 1
    every = {line[::turn] for line in spellings(tonic)}
    for staff in exercise.staves:
        found = reading.notes(staff)
        names = tuple(p.name for p in found)
        assert names in every
        assert [(b.ps - a.ps) * turn for a, b in pairwise(found)] == [2] * 6
        assert [(b.diatonicNoteNum - a.diatonicNoteNum) * turn for a, b in pairwise(found)].count(
            2
        ) == 1
        blanks = {b.column: b for b in reading.answers(exercise, "notes", staff.hand)}
        asked = [column for column, event in enumerate(staff.events) if event.written]
        assert sorted(blanks) == asked
        fitting = {
            tuple(line[column] for column in asked)
            for line in every
            if all(line[n] == names[n] for n in range(7) if n not in asked)
        }
        accepted = list(zip(*(blanks[column].versions for column in asked), strict=True))
        assert len(accepted) == len(fitting)
        assert {tuple(map(reading.read, line)) for line in accepted} == fitting
        assert accepted[0] == tuple(blanks[column].answer for column in asked)
        for blank in blanks.values():
            assert {*blank.also, blank.answer} == {*blank.versions}


def test_whole_tone_scales():
    labels = set()
    for exercise in reading.sample("whole-tone"):
        check(exercise)
        labels.add(exercise.label.split(",")[0])
    assert len(labels) == 18


def test_spellings():
    """Hand values: the scale on D flat, which has B or C flat at its seventh key."""
    assert spellings("D-") == {
        ("D-", "E-", "F", "G", "A", "B", "D-"),
        ("D-", "E-", "F", "G", "A", "C-", "D-"),
    }


def test_typed_signs_do_not_mix_spellings():
    """F# Ab A# has the letter A twice; it is no spelling, though each note stands in one."""
    family = FAMILIES["whole-tone"]
    item = unplaced(family.make(Request(parse_key("F# major"), "right", family.asks), Random(1)))
    for row, wrong in (
        ("F# Ab Bb C D E F#", False),
        ("F# G# A# B# D E F#", False),
        ("F# Ab A# C D E F#", True),
    ):
        typed = dict(zip([blank.id for blank in item.blanks], row.split(), strict=True))
        assert (Outcome.WRONG in judge(item, typed).values()) == wrong, row
