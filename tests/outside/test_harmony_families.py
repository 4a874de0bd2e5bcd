"""The families of harmony: every answer recomputed from the printed notes by music21.

Source: music21, a general-purpose music analysis library: Roman numerals, chord
symbols, inversions, intervals. Nothing here uses our own music/; ``check``
takes one exercise of any of these families.
"""

from functools import cache
from itertools import combinations, permutations
from random import Random

import pytest
from asked import Request
from music21 import chord as m21chord
from music21 import harmony as m21harmony
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import pitch as m21pitch
from music21 import roman as m21roman
from music21.figuredBass import resolution as m21resolution
from reading import theirs

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS

FIGURES = {
    (False, 0): "5/3",
    (False, 1): "6",
    (False, 2): "6/4",
    (True, 0): "7",
    (True, 1): "6/5",
    (True, 2): "4/3",
    (True, 3): "4/2",
}
POSITIONS = ("root", "1st", "2nd", "3rd")
SEVENTHS = {
    (4, 7, 11): "maj7",
    (4, 7, 10): "dom7",
    (3, 7, 10): "min7",
    (3, 6, 10): "ø7",
    (3, 6, 9): "°7",
}
"""Half steps from the root to third, fifth and seventh: common practice, no source."""


@cache
def home(tonic: str, mode: str) -> m21key.Key:
    return m21key.Key(tonic[0] + tonic[1:].replace("b", "-"), mode)


@cache
def roman(numeral: str, tonic: str, mode: str) -> tuple[tuple[str, ...], str]:
    """The note names of a numeral from the root up in thirds, and its bass."""
    text = numeral.replace("°", "o").replace(" of ", "/")
    for figures in ("6/5", "6/4", "4/3", "4/2"):
        text = text.replace(figures, figures.replace("/", ""))
    found = m21roman.RomanNumeral(text, home(tonic, mode))
    return in_thirds(found), found.bass().name


def in_thirds(sounded) -> tuple[str, ...]:
    parts = (sounded.root(), sounded.third, sounded.fifth, sounded.seventh)
    return tuple(p.name for p in parts if p)


@cache
def symbol(name: str) -> tuple[tuple[str, ...], str]:
    """The note names of a chord name from the root up in thirds, and its bass."""
    plain, _, bass = name.partition("/")
    for ours, other in (
        ("♯", "#"),
        ("♭", "-"),
        ("𝄪", "##"),
        ("𝄫", "--"),
        ("°7", "dim7"),
        ("°", "dim"),
        ("+", "aug"),
    ):
        plain = plain.replace(ours, other)
        bass = bass.replace(ours, other)
    # music21 reads no double accidental in a symbol: one half step lower, and back up
    # (or the other way), by an interval that keeps the letter.
    shift = "A1" if "##" in plain else "-A1" if "--" in plain else ""
    plain = plain.replace("##", "#").replace("--", "-")
    tones = m21harmony.ChordSymbol(plain).pitches
    if shift:
        tones = [p.transpose(shift) for p in tones]
    return tuple(p.name for p in tones), bass or tones[0].name


def columns(exercise):
    """What sounds in each column, from the lowest note up, of all staves or of the first."""
    staves = exercise.staves
    if len(staves) == 2 and len(staves[1].events[0].pitches) != 1:
        staves = staves[:1]
    found = []
    for column in range(len(staves[0].events)):
        notes = [theirs(p) for staff in staves for p in staff.events[column].pitches]
        found.append(sorted(notes, key=lambda p: p.ps))
    return found


def together(exercise):
    """Two staves have the same notes, but for the single notes of a bass."""
    if len(exercise.staves) == 2 and len(exercise.staves[1].events[0].pitches) != 1:
        right, left = (
            [[theirs(p).name for p in event.pitches] for event in staff.events]
            for staff in exercise.staves
        )
        assert right == left


def key_of(exercise):
    return exercise.key.tonic, exercise.key.mode


def complete(notes, full) -> bool:
    """All of a chord's notes, or all but the fifth."""
    names = {p.name for p in notes}
    return names <= set(full) and set(full) - names <= {full[2]} and len(notes) > 2


def check(exercise):
    together(exercise)
    {
        "progression": check_chords,
        "cadences": check_cadences,
        "inversion-figures": check_chords,
        "seventh-chords": check_sevenths,
        "common-tones": check_common_tones,
        "missing-chord": check_missing,
        "transposition": check_transposition,
    }[exercise.family](exercise)


def check_chords(exercise):
    sounding = columns(exercise)
    figured = any(
        mark in blank.answer
        for blank in exercise.blanks
        if blank.asks == "numeral"
        for mark in "642"
    )
    assert_asked(exercise, sounding, figured)
    for blank in exercise.blanks:
        notes = sounding[blank.column]
        if blank.asks == "numeral":
            assert_numeral(exercise, blank.answer, notes)
            if figured:
                assert_figures(exercise, blank.answer, notes)
            else:
                assert_figures_accepted(exercise, blank, notes)
            for other in blank.also:
                if "°" in other or "o" not in other.replace(" of ", "/"):
                    assert_numeral(exercise, dashed(other), notes)
        elif blank.asks == "chord":
            full, _ = symbol(blank.answer)
            assert complete(notes, full), (exercise.prompt, blank)
            for other in (name for name in blank.also if "/" in name):
                assert symbol(other)[1] == notes[0].name
        elif blank.asks == "figure":
            sounded = m21chord.Chord(notes)
            assert blank.answer == FIGURES[sounded.isSeventh(), sounded.inversion()]


def assert_asked(exercise, sounding, figured):
    """The task says whether the numerals are to have the figures that they have."""
    numerals = [blank for blank in exercise.blanks if blank.asks == "numeral"]
    if not numerals:
        return
    inverted = any(m21chord.Chord(sounding[b.column]).inversion() for b in numerals)
    sevenths = any("7" in blank.answer or "/" in blank.answer for blank in numerals)
    if exercise.family == "cadences" or (inverted and not figured):
        assert "numerals without inversion figures (such as ii, V7)" in exercise.task
    elif figured or sevenths:
        assert "numerals with their figures (such as ii6)" in exercise.task
    else:
        assert "lower case for minor and diminished" in exercise.task


def assert_figures_accepted(exercise, blank, notes):
    """A bare numeral's answer with the figures of what sounds is right, too."""
    full, _ = roman(blank.answer, *key_of(exercise))
    figures = FIGURES[len(full) == 4, full.index(notes[0].name)]
    if figures in ("5/3", "7"):
        return
    stem, slash, target = blank.answer.partition("/")
    wanted = stem.removesuffix("7") + figures + slash + target
    assert wanted in blank.also, (exercise.prompt, blank, wanted)


def dashed(numeral: str) -> str:
    """``V65`` as ``V6/5``, ``V2`` as ``V4/2``."""
    numeral = numeral.replace(" of ", "/")
    stem, slash, target = numeral.partition("/") if numeral[-1] in "IViv°" else (numeral, "", "")
    for figures in ("65", "64", "43", "42"):
        stem = stem.replace(figures, f"{figures[0]}/{figures[1]}")
    if stem.endswith("2") and not stem.endswith("4/2"):
        stem = stem[:-1] + "4/2"
    return stem + slash + target


def assert_numeral(exercise, numeral, notes):
    full, bass = roman(numeral, *key_of(exercise))
    assert complete(notes, full), (exercise.prompt, numeral, notes)
    if any(figure in numeral for figure in "642"):
        assert bass == notes[0].name, (exercise.prompt, numeral, notes)


def assert_figures(exercise, numeral, notes):
    full, bass = roman(numeral, *key_of(exercise))
    figures = FIGURES[len(full) == 4, full.index(notes[0].name)]
    ours = numeral.split("/V")[0].split("/i")[0].lstrip("IVivøo°+")
    assert (ours or "5/3") == figures and bass == notes[0].name


def check_cadences(exercise):
    check_chords(exercise)
    tonality, sounding = home(*key_of(exercise)), columns(exercise)
    scale = [p.name for p in tonality.pitches[:7]]
    leading = tonality.getLeadingTone().name if tonality.mode == "minor" else scale[6]
    for blank in (b for b in exercise.blanks if b.asks == "cadence"):
        before, last = sounding[blank.column - 1], sounding[blank.column]
        root = m21chord.Chord(last).root().name
        dominant = leading in {p.name for p in before}
        expected = {
            scale[0]: "authentic" if dominant else "plagal",
            scale[4]: "half",
            scale[5]: "deceptive",
        }[root]
        if expected == "plagal":
            assert m21chord.Chord(before).root().name == scale[3]
        if exercise.settings["kinds"] == "PAC IAC HC":
            rooted = not m21chord.Chord(before).inversion() and before[0].name == scale[4]
            perfect = rooted and last[0].name == last[-1].name == scale[0]
            expected = "HC" if expected == "half" else "PAC" if perfect else "IAC"
            assert expected in ("HC", "PAC") or dominant
        assert blank.answer == expected
        assert blank.answer not in blank.also
    if exercise.hand == "both":
        for start in range(0, len(sounding), 2):
            assert_led(sounding[start], sounding[start + 1])
        for blank in exercise.blanks:
            if blank.asks == "cadence" and blank.answer == "deceptive":
                assert_breaks_off(sounding[blank.column - 1], sounding[blank.column], leading)


def assert_breaks_off(a, b, leading):
    """The leading tone rises, the bass too, all else falls: for V7 as in music21's resolution
    of it to the chord on 6; V without its seventh has its root twice."""
    if len({p.name for p in a}) == 4:
        resolve = (
            m21resolution.dominantSeventhToMajorSubmediant
            if m21chord.Chord(b).quality == "major"
            else m21resolution.dominantSeventhToMinorSubmediant
        )
        assert [p.nameWithOctave for p in b] == [p.nameWithOctave for p in resolve(tuple(a))]
    for before, after in zip(a[1:], b[1:]):
        assert (after.ps - before.ps == 1) if before.name == leading else after.ps < before.ps
    assert b[0].ps > a[0].ps and [p.name for p in b].count(m21chord.Chord(b).third.name) == 2


def assert_led(a, b):
    """No parallel fifths or octaves."""
    for (w, x), (y, z) in combinations(list(zip(a, b)), 2):
        if w != x and y != z:
            before, after = m21interval.Interval(w, y), m21interval.Interval(x, z)
            assert not (
                before.semiSimpleName == after.semiSimpleName
                and before.semiSimpleName in ("P1", "P5", "P8")
            )


def check_sevenths(exercise):
    sounding, own = columns(exercise), own_notes(*key_of(exercise))
    assert all(p.name in own for notes in sounding for p in notes)
    for blank in exercise.blanks:
        sounded = m21chord.Chord(sounding[blank.column])
        if blank.asks == "quality":
            assert blank.answer == kind(sounded)
        elif blank.asks == "position":
            assert blank.answer == POSITIONS[sounded.inversion()]
        elif blank.asks == "chord":
            assert {p.name for p in sounded.pitches} == set(symbol(blank.answer)[0])
            assert sounded.inversion() == 0
        else:
            assert blank.asks == "notes" and len(blank.of) == 4


@cache
def own_notes(tonic, mode) -> set[str]:
    """The names of a key's notes, in minor with the leading tone."""
    tonality = home(tonic, mode)
    leading = {tonality.getLeadingTone().name} if mode == "minor" else set()
    return {p.name for p in tonality.pitches} | leading


def kind(sounded) -> str:
    """The kind of a seventh chord by its third, fifth and seventh, whatever its inversion."""
    return SEVENTHS[
        tuple(
            m21interval.Interval(sounded.root(), p).semitones % 12
            for p in (sounded.third, sounded.fifth, sounded.seventh)
        )
    ]


@cache
def own_chords(tonic, mode) -> list[tuple[str, ...]]:
    """The note names of the triads of a key, in minor with the leading tone on 5 and 7, and
    of its dominant seventh."""
    numerals = "i iio III iv V VI viio V7" if mode == "minor" else "I ii iii IV V vi viio V7"
    return [roman(numeral, tonic, mode)[0] for numeral in numerals.split()]


def check_common_tones(exercise):
    events = exercise.staves[0].events
    for event in events[::2]:
        notes = [theirs(p) for p in event.pitches]
        assert any(complete(notes, full) for full in own_chords(*key_of(exercise)))
    for blank in exercise.blanks:
        a, b = (events[blank.column + away].pitches for away in (-1, 1))
        if blank.asks == "common":
            assert blank.answer == str(
                len({theirs(p).nameWithOctave for p in a} & {theirs(p).nameWithOctave for p in b})
            )
            continue
        moved = m21interval.Interval(theirs(a[blank.note]), theirs(b[blank.note]))
        away, generic = abs(moved.semitones), moved.generic.undirected
        expected = (
            "stays"
            if moved.name == "P1"
            else "H"
            if away == 1 and generic <= 2
            else "W"
            if away == 2 and generic == 2
            else "skip"
        )
        assert blank.answer == expected


def check_missing(exercise):
    sounding = columns(exercise)
    labels = {b.column: b.answer for b in exercise.blanks if b.asks == "numeral"}
    for column, numeral in labels.items():
        assert_numeral(exercise, numeral, sounding[column])
    for blank in (b for b in exercise.blanks if b.asks == "notes"):
        beside = [
            sounding[n] for n in (blank.column - 1, blank.column + 1) if 0 <= n < len(sounding)
        ]
        mine = sounding[blank.column]
        if any(len(other) != len(mine) for other in beside):
            continue
        if any(figure in labels[blank.column] for figure in "642"):
            continue  # the figures say which note is lowest
        least = min(moved(beside, other) for other in close([p.name for p in mine], mine))
        assert moved(beside, mine) == least, exercise.prompt


def moved(beside, notes) -> float:
    return sum(abs(p.ps - q.ps) for other in beside for p, q in zip(other, notes))


def close(names, near):
    """Every close position of some notes within two octaves of where they are."""
    for order in permutations(names):
        for octave in range(int(near[0].octave) - 2, int(near[0].octave) + 3):
            found = [m21pitch.Pitch(order[0], octave=octave)]
            for name in order[1:]:
                step = m21pitch.Pitch(name, octave=octave - 1)
                while step.diatonicNoteNum <= found[-1].diatonicNoteNum:
                    step.octave += 1
                found.append(step)
            if found[-1].ps - found[0].ps < 12:
                yield found


def check_transposition(exercise):
    source, direction, goal = (
        exercise.label.split(",")[0]
        .replace(" major", "")
        .replace(" minor", "")
        .replace(" to ", " ")
        .split(" ")
    )
    for staff in exercise.staves:
        half = len(staff.events) // 2
        signatures = [event.signature for event in staff.events if event.signature]
        printed = [s.tonic.replace("#", "♯").replace("b", "♭") for s in signatures]
        assert printed == [source, goal]
        found = {
            m21interval.Interval(theirs(p), theirs(q)).directedName
            for a, b in zip(staff.events[:half], staff.events[half:])
            for p, q in zip(a.pitches, b.pitches)
        }
        assert len(found) == 1
        shift = m21interval.Interval(found.pop())
        assert (shift.semitones > 0) == (direction == "up") and abs(shift.semitones) < 12
        tonic = home(*key_of(exercise)).tonic
        other = signatures[0].tonic
        assert (
            m21pitch.Pitch(other[0] + other[1:].replace("b", "-")).transpose(shift).name
            == tonic.name
        )
        assert all(e.written == e.pitches for e in staff.events[half:])
        assert not any(e.written for e in staff.events[:half])
    for blank in (b for b in exercise.blanks if b.asks == "numeral"):
        notes = [theirs(p) for p in exercise.staves[0].events[blank.column + half].pitches]
        assert_numeral(exercise, blank.answer, notes)


PROGRESSIONS = (
    "full",
    "short",
    "I vi ii6 V7 I",
    "I V7/V V7 I",
    "I vii°7/V V V6/5 I",
    "I IV I6/4 V7 I",
    "I iii vi ii V7 I",
)
SETTINGS = {
    "progression": [
        {"numerals": n, "style": style, "start": start, "fifth": fifth}
        for n in PROGRESSIONS
        for style in ("close", "keyboard")
        for start, fifth in (("root", False), ("2nd", True))
    ],
    "cadences": [{}],
    "inversion-figures": [{}, {"sevenths": True}],
    "seventh-chords": [{}, {"inversions": False}, {"task": "write"}],
    "common-tones": [
        {"numerals": n, "start": s}
        for n in ("full", "I vi IV V I", "I IV ii V I")
        for s in ("root", "1st")
    ],
    "missing-chord": [{"numerals": n, "missing": m} for n in PROGRESSIONS for m in (1, 2)],
    "transposition": [{"numerals": n} for n in ("full", "I vi ii6 V7 I", "I V7/V V7 I")],
}


def exercises(family, keys, seeds):
    kind = FAMILIES[family]
    for key in keys:
        for hand in HANDS:
            for settings in SETTINGS[family]:
                if not kind.problem(settings, key, hand):
                    for seed in seeds:
                        yield kind.make(
                            Request(key, hand, kind.asks, 0, 2, settings),
                            Random(f"{key}{hand}{seed}"),
                        )


@pytest.mark.parametrize("family", SETTINGS)
def test_every_answer(family):
    count = 0
    few = ALL_KEYS[::4] if len(SETTINGS[family]) > 6 else ALL_KEYS[::2]
    for exercise in exercises(family, few, range(1)):
        check(exercise)
        count += len(exercise.blanks)
    assert count > 500


@pytest.mark.sweep
@pytest.mark.parametrize("family", SETTINGS)
def test_every_answer_everywhere(family):
    for exercise in exercises(family, ALL_KEYS, range(5)):
        check(exercise)
