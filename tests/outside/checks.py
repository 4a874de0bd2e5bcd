"""For every family the check of its answers against a source outside the project.

``check`` takes an exercise with English names. The checks themselves stand with the tests
of their families and in played.py, each with its source.
"""

from collections import Counter
from collections.abc import Callable

import fingers
import played
import test_chords_written
import test_harmony_families
import test_intervals_read
import test_key_signatures
import test_keyboards
import test_note_names
import test_scale_degrees
import test_scale_steps
import test_scale_writing
import test_triad_quality
from reading import spelled, theirs


def _progression(exercise) -> Counter:
    """Chords and numerals by music21; fingers, which no table has, by the laws."""
    test_harmony_families.check(exercise)
    return fingers.chord_fingers(exercise)


_MODULES = {
    played: "scale-fingering chromatic-scale five-finger thumb-crossings primary-chords "
    "inversions arpeggio broken-chord intervals",
    test_chords_written: "triad-spelling chord-building",
    test_harmony_families: "cadences common-tones missing-chord transposition "
    "inversion-figures seventh-chords",
    test_intervals_read: "interval-quality interval-building half-steps",
    test_key_signatures: "key-signatures circle-of-fifths scale-matching",
    test_keyboards: "keyboard-names keyboard-shading",
    test_note_names: "note-names",
    test_scale_degrees: "scale-degrees",
    test_scale_steps: "scale-steps scale-repair",
    test_scale_writing: "scale-writing",
    test_triad_quality: "triad-quality",
}
CHECKS: dict[str, Callable] = {
    **{
        family: module.check for module, families in _MODULES.items() for family in families.split()
    },
    "progression": _progression,
}


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
    counted = Counter(CHECKS[exercise.family](exercise) or {})
    fingers = sum(blank.asks in ("finger", "cross") for blank in exercise.blanks)
    counted["music21"] = len(exercise.blanks) - fingers
    assert counted.total() == len(exercise.blanks)
    return counted
