"""Cadences to write, against music21's Roman numerals, intervals and rules of voice leading.

Source: music21: the notes of each numeral, ``voiceLeading.VoiceLeadingQuartet`` for parallel
fifths and octaves, the leading tone of the key. What sounds in each column is all that is read.
"""

from itertools import combinations, pairwise

from music21 import voiceLeading as m21voiceLeading
from reading import answers, read, sample, theirs
from test_harmony_families import columns, complete, home, key_of, roman

from workbook.music.keys import ALL_KEYS

SOME = ALL_KEYS[::7]
ENDS = {("V", "I"): "authentic", ("I", "V"): "half", ("IV", "I"): "plagal"}


def degree(numeral: str) -> str:
    return numeral.rstrip("0123456789/°").upper()


def led(a, b) -> None:
    """No parallel fifths or octaves between two chords of four voices."""
    for (w, x), (y, z) in combinations(zip(a, b, strict=True), 2):
        if w.ps != x.ps and y.ps != z.ps:
            quartet = m21voiceLeading.VoiceLeadingQuartet(y, z, w, x)
            assert not quartet.parallelFifth() and not quartet.parallelOctave()
            assert not quartet.parallelUnison()


def check(exercise):
    right, left = exercise.staves
    sounding = columns(exercise)
    labels = answers(exercise, "numeral")
    assert [blank.column for blank in labels] == list(range(len(sounding)))
    tonality = home(*key_of(exercise))
    leading = tonality.getLeadingTone().name
    ends = [n for n, event in enumerate(right.events) if event.after in ("||", "|.")]
    for blank, notes in zip(labels, sounding, strict=True):
        full, bass = roman(blank.answer, *key_of(exercise))
        assert len(notes) == 4 and complete(notes, full), (exercise.prompt, blank.answer, notes)
        assert notes[0].name == bass and notes[-1].ps - notes[1].ps <= 12
    start = 0
    for end in ends:
        for column, (a, b) in enumerate(pairwise(sounding[start : end + 1]), start):
            led(a, b)
            dominant = degree(labels[column].answer) == "V"
            if dominant and degree(labels[column + 1].answer) in ("I", "VI"):
                resolves(a, b, leading, tonality)
            if labels[column].answer.lower() == "i6/4":
                assert degree(labels[column + 1].answer) == "V"
        assert not right.events[start].written and not left.events[start].written
        assert all(e.written == e.pitches for e in right.events[start + 1 : end + 1])
        last = degree(labels[end - 1].answer), degree(labels[end].answer)
        kind = "half" if last[1] == "V" else ENDS.get(last, "deceptive")
        wanted = exercise.settings["kinds"]
        assert kind in wanted or wanted == "all"
        start = end + 1
    for blank in answers(exercise, "notes", "right"):
        full, _ = roman(labels[blank.column].answer, *key_of(exercise))
        bass = theirs(left.events[blank.column].pitches[0])
        for other in blank.also:
            names = [read(name) for name in other.split()]
            assert len(names) == 3 and {*names, bass.name} <= set(full)
            assert set(full) - {*names, bass.name} <= {full[2]}
            assert [*names, bass.name].count(leading) <= 1


def resolves(a, b, leading, tonality):
    """The leading tone rises, or falls a third in an inner voice; the seventh falls by step."""
    for voice, (here, there) in enumerate(zip(a, b, strict=True)):
        if here.name == leading:
            assert there.ps - here.ps == 1 or (voice in (1, 2) and there.ps - here.ps == -4)
        if voice and here.name == tonality.pitches[3].name:
            assert 1 <= here.ps - there.ps <= 2


def test_cadences_to_write():
    for exercise in sample("cadence-writing", seeds=2, keys=SOME):
        check(exercise)
    for kinds in ("authentic and half", "all"):
        for exercise in sample("cadence-writing", 2, SOME, cadential=True, kinds=kinds):
            check(exercise)


def test_the_cadential_six_four_stands_before_v():
    exercise = next(sample("cadence-writing", keys=ALL_KEYS[7:8], cadential=True))
    names = [blank.answer for blank in answers(exercise, "numeral")]
    assert names.count("I6/4") == 2 and len(names) == 8
