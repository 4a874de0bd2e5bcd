"""Harmonizations of melodies, against every row of numerals that music21 lets stand there.

Source: music21's Roman numerals say which notes a chord has, and its
``ThreeNoteLinearSegment`` which of the others pass or are neighbors. The rules that the rows
must obey are stated here once more (Open Music Theory, from memory); which of them comes first
is common practice, no source, so only its faults are counted.
"""

from itertools import pairwise, product

import pytest
from music21 import voiceLeading as m21voiceLeading
from reading import answers, notes, sample, theirs
from test_chord_tones import in_key
from test_harmony_families import roman

from workbook.exercises.families import FAMILIES
from workbook.marking.accepted import alternatives
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.music.keys import ALL_KEYS
from workbook.record.from_exercise import unplaced

SOME = ALL_KEYS[::7]
MAJOR = {"I": "ii IV V V7 vi I", "ii": "ii V V7", "IV": "I ii IV V V7", "V": "V V7 I vi"}
MAJOR |= {"V7": "V7 I vi", "vi": "ii IV V V7 vi"}
MINOR = {"I": "i", "ii": "ii°", "IV": "iv", "V": "V", "V7": "V7", "vi": "VI"}


def chords(exercise) -> dict[str, str]:
    """The numerals to choose from, as they are in the key, by those of a major key."""
    own = [*exercise.settings["chords"].split()]
    own += ["V"] * ("V7" in own)
    return {name: MINOR[name] if exercise.key.minor else name for name in own}


def stands(tones, before, here, after) -> bool:
    if here.name in tones:
        return True
    if before is None or after is None:
        return False
    segment = m21voiceLeading.ThreeNoteLinearSegment(before, here, after)
    return segment.couldBePassingTone() or segment.couldBeNeighborTone()


def every_row(exercise) -> set[tuple[str, ...]]:
    """All rows of numerals that fit the melody."""
    melody, count = notes(exercise.staves[0]), exercise.settings["notes"]
    own = chords(exercise)
    tones = {name: roman(name, exercise.key.tonic, exercise.key.mode)[0] for name in own.values()}
    line = [None, *melody, None]
    can = []
    for start in range(0, len(melody), count):
        can.append([])
        for plain, name in own.items():
            measure = range(start, min(start + count, len(melody)))
            if melody[start].name in tones[name] and all(
                stands(tones[name], *line[place : place + 3]) for place in measure
            ):
                if len(exercise.staves) > 1:
                    (bass,) = exercise.staves[1].events[start].pitches
                    if theirs(bass).name != tones[name][0]:
                        continue
                can[-1].append((plain, name))
    return {
        tuple(name for _, name in row)
        for row in product(*can)
        if row[0][0] == row[-1][0] == "I"
        and row[-2][0] in ("V", "V7")
        and all(there in MAJOR[here].split() for (here, _), (there, _) in pairwise(row))
    }


def check(exercise):
    row, count = answers(exercise, "harmony"), exercise.settings["notes"]
    melody = notes(exercise.staves[0])
    in_key(exercise, melody)
    assert [blank.column for blank in row] == list(range(0, len(melody), count))
    assert [theirs(p) for blank in row for p in blank.of] == melody[::count]
    found = list(zip(*(blank.versions for blank in row), strict=True))
    fits = {
        one
        for one in every_row(exercise)
        if all(not blank.given or blank.answer == name for blank, name in zip(row, one))
    }
    assert set(found) == fits and len(set(found)) == len(found)
    assert found[0] == tuple(blank.answer for blank in row)
    for number, blank in enumerate(row):
        assert {blank.answer, *blank.also} == {version[number] for version in found}
    assert faults(exercise, found[0]) == min(faults(exercise, one) for one in found)
    tonic = exercise.key.tonic.replace("b", "-")
    assert (
        melody[-1].name == tonic
        and melody[0].name
        in roman("I" if not exercise.key.minor else "i", exercise.key.tonic, exercise.key.mode)[0]
    )


def faults(exercise, row) -> int:
    """Points against a row: chords that stay, IV before I, V for V7, roots or fifths of the
    melody in parallel with the bass.
    """
    count, melody = exercise.settings["notes"], notes(exercise.staves[0])
    tones = [roman(name, exercise.key.tonic, exercise.key.mode)[0] for name in row]
    points = row.count("V")
    for number, (here, there) in enumerate(pairwise(row)):
        p, q = melody[(number + 1) * count - 1], melody[(number + 1) * count]
        if here.removesuffix("7") == there.removesuffix("7"):
            points += 3
        elif p.name != q.name and any(
            p.name == tones[number][n] and q.name == tones[number + 1][n] for n in (0, 2)
        ):
            points += 4
        points += 2 * (here.lower() == "iv" and there.lower() == "i")
    return points


def test_all_that_fits_is_accepted():
    for exercise in sample("harmonizing", keys=SOME):
        check(exercise)


def test_each_is_judged_as_a_whole():
    """Each row that fits is right in all its boxes, and a mixture of two is not."""
    mixed = 0
    for exercise in sample("harmonizing", seeds=8, keys=SOME[:2], chords="I IV V", notes=1):
        item = unplaced(exercise)
        fits = every_row(exercise)
        for row in fits:
            assert right(item, row)
        for row in product(*({version[n] for version in fits} for n in range(len(item.blanks)))):
            if row not in fits:
                mixed += 1
                assert not right(item, row)
    assert mixed


def right(item, row) -> bool:
    typed = {blank.id: name for blank, name in zip(item.blanks, row, strict=True)}
    return set(judge(item, typed).values()) == {Outcome.RIGHT}


def test_the_others_are_told():
    for exercise in sample("harmonizing", seeds=4, keys=SOME[:2], chords="I IV V7", notes=1):
        row = answers(exercise, "harmony")
        told = alternatives(exercise)[("harmony", row[0].hand)].replace("\u00a0", " ")
        rows = {tuple(one.split()) for one in told.removeprefix("or ").split(", or ") if one}
        fits = every_row(exercise)
        assert rows <= fits - {tuple(blank.answer for blank in row)}
        plain = {tuple(name.removesuffix("7") for name in one) for one in fits}
        assert len(rows) == len(plain) - 1


@pytest.mark.parametrize(
    "numerals, wanted, moves",
    [
        ("I V", "I or V. Begin with I; end with V and I.", ""),
        ("I IV V7", "I, IV or V7. Begin with I; end with V7 and I.", " From V7 go only to I."),
        (
            "I ii IV V7 vi",
            "I, ii, IV, V7 or vi. Begin with I; end with V7 and I.",
            (
                " From ii go only to V7; from IV go only to I, ii or V7; "
                "from V7 go only to I or vi; from vi go only to ii, IV or V7."
            ),
        ),
    ],
)
def test_the_task_names_the_chords_and_where_they_go(numerals, wanted, moves):
    """All that a row must obey is on the page: what it may begin with, end with and go to."""
    exercise = next(
        one
        for one in sample("harmonizing", keys=ALL_KEYS[7:8], chords=numerals)
        if one.key.mode == "major"
    )
    assert exercise.task == f"Choose a chord for each note: {wanted}{moves}"
    assert (
        FAMILIES["harmonizing"].skill(exercise.settings, "right").startswith("harmonizing/treble")
    )
