"""Note names against music21's (see reading.py), and the notes' reach on the staff.

Ledger lines: the staves' outer lines are E4 and F5 (treble), G2 and A3 (bass).
"""

from random import Random

import pytest
import reading
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.music.keys import ALL_KEYS, parse_key

LINES = {"treble": ("E4", "F5"), "bass": ("G2", "A3")}


def ledger(p, clef):
    low, high = (reading.m21pitch.Pitch(name).diatonicNoteNum for name in LINES[clef])
    return max((low - p.diatonicNoteNum) // 2, (p.diatonicNoteNum - high) // 2, 0)


def check(exercise, chromatic=None):
    """Each answer is the printed note's name, under the key of the label."""
    tonality = reading.key(exercise.label)
    for staff in exercise.staves:
        found = reading.notes(staff)
        blanks = reading.answers(exercise, "note", staff.hand)
        assert [reading.read(b.answer) for b in blanks] == [p.name for p in found]
        five = exercise.settings["range"] != "staff"
        assert len({p.diatonicNoteNum for p in found}) == (5 if five else 8)
        if five:  # the thumb or the fifth finger on middle C, or C an octave lower
            lowest = {"middle C": ("C4", "F3"), "C position": ("C4", "C3")}
            low = lowest[exercise.settings["range"]][staff.hand == "left"]
            assert min(p.diatonicNoteNum for p in found) == (
                reading.m21pitch.Pitch(low).diatonicNoteNum
            )
        foreign = 0
        for p in found:
            sign = tonality.accidentalByStep(p.step)
            assert abs(p.alter) < 2
            foreign += p.alter != (sign.alter if sign else 0)
        assert foreign in ((0, 4) if chromatic is None else (4 * chromatic,))


@pytest.mark.parametrize("seeds", [1, pytest.param(3, marks=pytest.mark.sweep)])
@pytest.mark.parametrize("notes", ["key", "chromatic"])
def test_note_names(notes, seeds):
    for exercise in reading.sample("note-names", seeds=seeds, notes=notes):
        check(exercise, notes == "chromatic")


@pytest.mark.parametrize("most", [0, 1, 2])
def test_ledger_lines_are_used(most):
    kind = FAMILIES["note-names"]
    for key in ALL_KEYS:
        for hand in ("right", "left", "both"):
            exercise = kind.make(Request(key, hand, kind.asks, 0, most), Random(key.ascii))
            for staff in exercise.staves:
                lines = [(ledger(p, staff.events[0].clef), p) for p in reading.notes(staff)]
                lines.sort(key=lambda pair: pair[1].diatonicNoteNum)
                assert lines[0][0] == lines[-1][0] == most == max(n for n, _ in lines)
                assert sum(n > 0 for n, _ in lines) == (4 if most else 0)


def test_the_words_of_the_page():
    from workbook.music.naming import Naming

    kind = FAMILIES["note-names"]
    for letters, wanted in (("german", {"H", "Fis"}), ("italian", {"Si", "Fa♯"})):
        found = set()
        for seed in range(9):
            request = Request(parse_key("G major"), "right", kind.asks, 0, 2, {}, Naming(letters))
            found |= {b.answer for b in kind.make(request, Random(seed)).blanks}
        assert wanted <= found and len(found) == 7
