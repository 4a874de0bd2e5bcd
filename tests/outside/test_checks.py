"""Every family is checked, and its check can fail: it notices any one thing that is changed."""

from dataclasses import replace
from random import Random

import pytest
import reading
from checks import check, check_of

from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key

KEYS = tuple(map(parse_key, ("Ab minor", "F# major", "D minor")))
NOTICED = (AssertionError, KeyError, ValueError, IndexError, AttributeError)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_has_a_check(family):
    assert callable(check_of(family))


@pytest.mark.parametrize("family", FAMILIES)
def test_a_wrong_answer_is_noticed(family):
    rng = Random(family)
    for exercise in reading.sample(family, keys=KEYS):
        if (
            family == "thumb-crossings"
            and "A♭ harmonic minor" not in exercise.label
            and ("A♭" in exercise.label)
        ):
            continue  # no table has the left hand of the natural form
        blank = rng.choice([b for b in exercise.blanks if b.asks != "word"])
        spoiled = tuple(
            b._replace(answer=wrong(exercise, blank, rng), also=()) if b is blank else b
            for b in exercise.blanks
        )
        with pytest.raises(NOTICED):
            check(replace(exercise, blanks=spoiled))


def wrong(exercise, blank, rng) -> str:
    """Another answer of the exercise; for a finger, that of a neighbour."""
    row = [b for b in exercise.blanks if b.asks == blank.asks and b.hand == blank.hand]
    if blank.asks == "finger":
        chord = [b for b in row if b.column == blank.column]
        row = chord if len(chord) > 1 else [b for b in row if abs(b.column - blank.column) == 1]
    others = sorted({b.answer for b in row} - {blank.answer, *blank.also})
    return rng.choice(others) if others else "C" if blank.asks == "count" else "G♯ major"


@pytest.mark.parametrize("family", reading.on_staves())
def test_a_wrong_note_is_noticed(family):
    rng = Random(family)
    for exercise in reading.sample(family, keys=KEYS):
        places = [
            (s, c)
            for s, staff in enumerate(exercise.staves)
            for c, event in enumerate(staff.events)
            if event.pitches and (family != "scale-repair" or right(exercise, staff.hand, c))
        ]
        if not places:
            continue  # key signatures alone
        s, c = rng.choice(places)
        staff, event = exercise.staves[s], exercise.staves[s].events[c]
        note = rng.choice(event.pitches)
        other = note._replace(signs=note.signs + (1 if note.signs < 1 else -1))

        def changed(pitches):
            return tuple(other if p == note else p for p in pitches)

        event = event._replace(pitches=changed(event.pitches), written=changed(event.written))
        staff = replace(staff, events=(*staff.events[:c], event, *staff.events[c + 1 :]))
        with pytest.raises(NOTICED):
            check(
                replace(exercise, staves=(*exercise.staves[:s], staff, *exercise.staves[s + 1 :]))
            )


def right(exercise, hand: str, column: int) -> bool:
    """Whether a note of a scale to be repaired is right: a wrong one may be wrong otherwise."""
    return any(b.answer == "OK" for b in exercise.blanks if (b.hand, b.column) == (hand, column))
