"""Accompaniment patterns, against music21's chords of the numerals, note by note."""

from reading import answers, sample, theirs
from test_harmony_families import key_of, roman

from workbook.music.keys import ALL_KEYS

SHAPES = {
    "012 012 012": "blocked",
    "0 1 2": "broken",
    "0 2 1 2": "Alberti",
    "0 12 12": "waltz",
}
"""The notes of a triad from the root up, one after the other: common practice, no source."""
NUMERALS = {"major": ("I", "ii", "IV", "V", "vi"), "minor": ("i", "iio", "iv", "V", "VI")}


def measures(exercise):
    found = [[]]
    for event in exercise.staves[0].events:
        found[-1].append([theirs(p) for p in event.pitches])
        if event.after in ("|", "|."):
            found.append([])
    return found[:-1]


def check(exercise):
    for events in zip(*(staff.events for staff in exercise.staves), strict=True):
        assert len({tuple(theirs(p).name for p in event.pitches) for event in events}) == 1
    written = exercise.settings["task"] == "write"
    row, start = answers(exercise, "numeral" if written else "pattern"), 0
    played = measures(exercise)
    assert len(row) == len(played)
    triads = {
        numeral: roman(numeral, *key_of(exercise))[0] for numeral in NUMERALS[key_of(exercise)[1]]
    }
    for blank, columns in zip(row, played, strict=True):
        assert blank.column == start
        notes = sorted({p for column in columns for p in column}, key=lambda p: p.diatonicNoteNum)
        names = tuple(p.name for p in notes)
        assert (
            names in triads.values() and notes[-1].diatonicNoteNum - notes[0].diatonicNoteNum == 4
        )
        shape = " ".join("".join(str(notes.index(p)) for p in column) for column in columns)
        if written:
            assert SHAPES[shape].lower() == exercise.settings["pattern"]
            assert names == roman(blank.answer, *key_of(exercise))[0]
        else:
            assert SHAPES[shape] == blank.answer
        start += len(columns)
    for staff in exercise.staves:
        shown = [n for n, event in enumerate(staff.events) if not event.written]
        assert shown == list(range(start if not written else len(shown)))
    assert not written or exercise.settings["pattern"].split("-")[0] in exercise.task.lower()


def test_patterns():
    for exercise in sample("accompaniment", keys=ALL_KEYS[::7]):
        check(exercise)
    for exercise in sample("accompaniment", keys=ALL_KEYS[::7], task="write"):
        check(exercise)
