"""For every family the check of its answers against a source outside the project.

``check`` takes an exercise with English names. The checks themselves stand with the tests
of their families and in played.py, each with its source: that of ``scale-writing`` is the
``check`` of test_scale_writing.py, unless another file is named here.
"""

from collections import Counter
from collections.abc import Callable
from functools import cache
from importlib import import_module
from pathlib import Path

import fingers
from reading import spelled, theirs

from workbook.exercises.families import KINDS

_ELSEWHERE = {
    "played": "scale-fingering chromatic-scale five-finger thumb-crossings primary-chords "
    "inversions arpeggio broken-chord intervals",
    "test_chords_written": "triad-spelling chord-building",
    "test_harmony_families": "cadences common-tones missing-chord transposition "
    "inversion-figures seventh-chords progression",
    "test_intervals_read": "interval-quality interval-building half-steps",
    "test_key_signatures": "circle-of-fifths scale-matching",
    "test_keyboards": "keyboard-names keyboard-shading",
    "test_scale_steps": "scale-repair",
    "test_rhythm": "counting note-values time-signatures bar-completion bar-lines "
    "rhythm-copying beaming ties",
}
_FILES = {family: file for file, families in _ELSEWHERE.items() for family in families.split()}


@cache
def check_of(family: str) -> Callable:
    """The check of a family's exercises. Raises AssertionError if there is none."""
    file = _FILES.get(family, f"test_{family.replace('-', '_')}")
    if not Path(__file__).with_name(f"{file}.py").is_file():
        raise AssertionError(f"write check(exercise) for {family} in tests/outside/{file}.py")
    return import_module(file).check


def check_written(exercise) -> None:
    """Written notes are those that their blanks are about, named in the answer as music21
    names them, and all others are printed."""
    asked = {(b.hand, b.column): b for b in exercise.blanks if b.asks == "notes"}
    for staff in exercise.staves:
        for column, event in enumerate(staff.events):
            blank = asked.pop((staff.hand, column), None)
            assert event.written == (blank.of if blank else ())
            assert set(event.written) <= set(event.pitches)
            if blank:
                assert blank.answer == " ".join(spelled(theirs(p)) for p in blank.of)
    assert not asked


def check(exercise) -> Counter:
    """Raise AssertionError where an answer of the exercise differs from its source's.

    Returns how many answers had which opinion (see fingers.py); those of families whose
    answers are no fingers are all "music21".
    """
    check_written(exercise)
    counted = Counter(check_of(exercise.family)(exercise) or {})
    if exercise.family == "progression":  # fingers, which no table has, by the laws
        counted += fingers.chord_fingers(exercise)
    played = sum(KINDS[blank.asks].played for blank in exercise.blanks)
    counted["music21"] = len(exercise.blanks) - played
    assert counted.total() == len(exercise.blanks)
    return counted
