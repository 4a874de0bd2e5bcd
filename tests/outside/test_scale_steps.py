"""Whole and half steps, and scales to repair, against music21 (see reading.py)."""

import itertools

import reading
from music21 import interval

from workbook.exercises.families.scale_steps import answer
from workbook.music.naming import ENGLISH, Naming

STEPS = {"m2": "H", "M2": "W", "A2": "W+H"}


def check(exercise):
    {"scale-steps": check_steps, "scale-repair": check_repair}[exercise.family](exercise)


def check_steps(exercise):
    """The notes are the label's scale, each answer music21's interval between neighbours."""
    tonic, form = reading.key(exercise.label).tonic.name, reading.form(exercise)
    start = reading.start(exercise)
    down = "going down" in exercise.label
    wanted = [p.name for p in reading.scale(tonic, form, down=down)]
    skip = (8 - start) % 7 if down else start - 1
    for staff in exercise.staves:
        found = reading.notes(staff)
        assert [p.name for p in found] == wanted[skip : skip + 8], exercise.label
        numbers = [p.diatonicNoteNum for p in found]
        assert sorted(numbers, reverse=down) == numbers and max(numbers) - min(numbers) == 7
    pairs = list(itertools.pairwise(found))
    blanks = reading.answers(exercise, "step")
    assert [b.column for b in blanks] == list(range(1, 15, 2))
    for blank, (one, other) in zip(blanks, pairs):
        assert [reading.theirs(p) for p in blank.of] == [one, other]
        assert blank.answer == STEPS[interval.Interval(*sorted((one, other))).name]


def check_repair(exercise):
    """Right notes are OK, wrong ones have the label's note; so many are wrong as it says."""
    tonic, form = reading.key(exercise.label).tonic.name, reading.form(exercise)
    wanted = [p.name for p in reading.scale(tonic, form, 1)]
    for staff in exercise.staves:
        found = reading.notes(staff)
        blanks = reading.answers(exercise, "repair", staff.hand)
        wrong = 0
        for blank, printed, name in zip(blanks, found, wanted, strict=True):
            if blank.answer == "OK":
                assert printed.name == name
                assert [reading.read(text) for text in blank.also] == ["✓", name]
            else:
                wrong += 1
                assert reading.read(blank.answer) == name
                assert blank.also == (() if len(name) > 1 else (f"{blank.answer}♮",))
                assert printed.step == name[0] and printed.name != name
                assert (printed.pitchClass - reading.m21pitch.Pitch(name).pitchClass) % 12
                assert abs(printed.alter) < 2
        assert f" {wrong} wrong note" in exercise.label
        assert [p.ps for p in found] == sorted({p.ps for p in found})


def test_steps():
    for exercise in reading.sample("scale-steps"):
        check(exercise)


def test_scales_to_repair():
    for exercise in reading.sample("scale-repair", seeds=2):
        check(exercise)


def test_every_kind_of_mistake_comes():
    kinds = {
        (printed.alter, reading.m21pitch.Pitch(name).alter)
        for exercise in reading.sample("scale-repair", wrong=3)
        for printed, name in zip(
            reading.notes(exercise.staves[0]),
            [
                p.name
                for p in reading.scale(
                    reading.key(exercise.label).tonic.name, reading.form(exercise), 1
                )
            ],
        )
        if printed.name != name
    }
    assert {(0, 1), (0, -1), (1, 0), (-1, 0), (1, -1), (1, 2)} <= kinds


def test_steps_are_called_as_the_page_calls_them():
    british = Naming(steps="semitone")
    assert [answer(n, ENGLISH)[0] for n in (1, 2, 3)] == ["H", "W", "W+H"]
    assert [answer(n, british)[0] for n in (1, 2, 3)] == ["S", "T", "T+S"]
