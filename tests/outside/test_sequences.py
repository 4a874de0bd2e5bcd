"""Sequences, against music21: its generic intervals move a pitch within a key's signature."""

from functools import cache
from itertools import pairwise

from music21 import interval as m21interval
from music21 import key as m21key
from music21 import pitch as m21pitch
from music21 import roman as m21roman
from reading import notes, sample, theirs_key

from workbook.music.keys import ALL_KEYS

MOVES = {"step down": -2, "step up": 2, "third down": -3, "third up": 3}

SUNG = {"PERFECT", "MAJOR", "MINOR"}


@cache
def theirs(tonic: str, mode: str) -> tuple[m21key.Key, set[str], set[str]]:
    """A key of music21, its notes and those of its tonic triad, by name."""
    key = m21key.Key(tonic, mode)
    triad = m21roman.RomanNumeral("i" if mode == "minor" else "I", key)
    return key, {p.name for p in key.getScale().pitches}, {p.name for p in triad.pitches}


@cache
def moved(name: str, move: int, tonic: str, mode: str) -> str:
    """The note to which a generic interval leads in a key."""
    key, p = theirs(tonic, mode)[0], m21pitch.Pitch(name)
    found = m21interval.GenericInterval(move).transposePitchKeyAware(p, key)
    return found.nameWithOctave


@cache
def sort(here: str, there: str) -> str:
    """The quality of a step or leap."""
    step = m21interval.Interval(m21pitch.Pitch(here), m21pitch.Pitch(there))
    return step.specifier.name


def check(exercise):
    """Each measure is the one before, moved in the key; no step or leap is augmented or
    diminished, and the last note is one of the tonic triad.
    """
    _, own, triad = theirs(*theirs_key(exercise))
    settings = exercise.settings
    count, begun = settings["notes"], settings["begun"]
    whole = {"measure": 2, "note": 1}[begun]
    for staff in exercise.staves:
        found = [p.nameWithOctave for p in notes(staff)]
        assert len(found) == count * (whole + settings["links"])
        for here, there in zip(found, found[count:], strict=False):
            move = MOVES[settings["sequence"]]
            assert there == moved(here, move, *theirs_key(exercise)), exercise.label
        assert all(here != there and sort(here, there) in SUNG for here, there in pairwise(found))
        names = [p.name for p in notes(staff)]
        assert set(names) <= own and names[-1] in triad
        printed = [not event.written for event in staff.events]
        shown = count * whole + (begun == "note") + exercise.given
        shown = min(shown, len(found) - 1)  # one note is left to write
        assert printed == [column < shown for column in range(len(found))]
        bars = [n for n, event in enumerate(staff.events, 1) if event.after]
        assert bars == list(range(count, len(found) + 1, count))


def test_sequences_to_continue():
    for exercise in sample("sequences", keys=ALL_KEYS[::7]):
        check(exercise)
        words = {"measure": "Continue", "note": "Complete the second"}[exercise.settings["begun"]]
        assert exercise.task.startswith(words)


def test_no_motif_is_a_piece_of_a_scale():
    for exercise in sample("sequences", 3, ALL_KEYS[:1]):
        motif = notes(exercise.staves[0])[: exercise.settings["notes"]]
        moves = {b.diatonicNoteNum - a.diatonicNoteNum for a, b in pairwise(motif)}
        assert len(moves) > 1
