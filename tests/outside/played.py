"""Families that are played: notes and words against music21, fingers against print.

``check`` takes one exercise and returns how many answers had which opinion: "music21", or
for a finger what fingers.py says. It raises AssertionError where an opinion differs.
"""

import itertools
import re
from collections import Counter
from functools import cache

import reading
from fingers import (
    NONE,
    chord_fingers,
    crossings,
    follow_keys,
    meet_laws,
    opinion,
    opinions,
    printed,
    run,
    run_names,
    stretches,
    wholes,
)
from music21 import chord as m21chord
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import roman as m21roman
from published import published, published_broken, published_chromatic, published_from_third
from reading import notes, theirs, theirs_key

POSITIONS = ("root", "1st", "2nd", "3rd")
BLACK = ("C#", "D#", "F#", "G#", "A#", "D-", "E-", "G-", "A-", "B-")
FIGURES = ({"5/3", "53"}, {"6", "6/3", "63"}, {"6/4", "64"})
SEVENTH_FIGURES = ({"7"}, {"6/5", "65"}, {"4/3", "43"}, {"4/2", "42"})
"""Figured bass of a triad and of a seventh chord by its inversion: common practice, no source."""
QUALITIES = {"P": ("perfect", "perf"), "M": ("major", "maj"), "m": ("minor", "min")}
SIZES = {
    "2": ("2", "2nd", "second"),
    "3": ("3", "3rd", "third"),
    "4": ("4", "4th", "fourth"),
    "5": ("5", "5th", "fifth"),
    "6": ("6", "6th", "sixth"),
    "7": ("7", "7th", "seventh"),
    "8": ("8", "8th", "8ve", "octave"),
}
OCTAVES = {"two": 2, "three": 3, "four": 4}
WHERE = {"right": "right hand", "left": "left hand", "both": "hands together"}


def check(exercise) -> Counter:
    assert WHERE[exercise.hand] in exercise.label.lower()
    return {
        "scale-fingering": check_scale,
        "chromatic-scale": check_chromatic,
        "five-finger": check_five,
        "thumb-crossings": check_crossings,
        "primary-chords": check_primary,
        "inversions": check_inversions,
        "arpeggio": check_arpeggio,
        "broken-chord": check_broken,
        "intervals": check_intervals,
    }[exercise.family](exercise)


def octaves(exercise) -> int:
    return next((n for word, n in OCTAVES.items() if f"{word} octaves" in exercise.label), 1)


def tonic_key(exercise) -> int:
    """The tonic's key of the piano, 0 for C to 11."""
    return m21key.Key(*theirs_key(exercise)).tonic.pitchClass


@cache
def roman(numeral: str, tonic: str, mode: str) -> tuple[str, ...]:
    """The note names of a numeral from the root up; upper case is read as the mode has it."""
    return tuple(p.name for p in m21roman.RomanNumeral(numeral, m21key.Key(tonic, mode)).pitches)


def together(exercise) -> None:
    """Hands together have the same notes, the left hand below."""
    if exercise.hand == "both":
        right, left = exercise.staves
        for one, other in zip(right.events, left.events, strict=True):
            assert [theirs(p).name for p in one.pitches] == [theirs(p).name for p in other.pitches]
            assert theirs(one.pitches[0]).ps > theirs(other.pitches[0]).ps


def check_scale(exercise) -> Counter:
    count, form, tonic = octaves(exercise), reading.form(exercise), tonic_key(exercise)
    contrary = "contrary" in exercise.label
    said = {}
    if " apart" in exercise.label:
        return check_apart(exercise, count, form, tonic)
    if not contrary:
        together(exercise)
    for staff in exercise.staves:
        found = run(exercise, staff)
        down_first = "down and up" in exercise.label
        assert [rises for rises, _ in found] == ways(
            exercise.label, contrary and staff.hand == "left"
        )
        for rises, stretch in found:
            check_scale_notes(exercise, stretch, form, count, rises)
            own = "natural" if form == "melodic" and not rises else form
            versions = published("scale", tonic, own, hand=staff.hand, octaves=count)
            if form == "melodic":  # the note at the turn is fingered as it was reached
                part = slice(1, None) if rises and down_first else slice(0, None)
                turned = len(found) > 1 and not rises and not down_first
                part = slice(0, -1) if turned else part
                stretch, versions = stretch[part], [digits[part] for digits in versions]
            said |= opinions(
                stretch,
                versions,
                staff.hand,
                printed(*([stretch] if form == "melodic" else (one for _, one in found))),
            )
    return Counter(said.values())


def ways(label: str, mirrored: bool = False) -> list[bool]:
    """Whether each stretch of a run rises, by the words of its label."""
    one_way = {"going up": [True], "going down": [False]}
    found = next((ways for words, ways in one_way.items() if words in label), [True, False])
    return found[::-1] if mirrored or "down and up" in label else found


APART = {"third": (2, 3, 1), "sixth": (5, 1, 3), "tenth": (9, 3, 1)}
"""Staff degrees from hand to hand, and the degrees on which right and left begin (Beringer)."""


def check_apart(exercise, count, form, tonic) -> Counter:
    """Each hand has the scale from its degree, the right so far above the left at every note."""
    steps, *starts = APART[exercise.label.split(" apart")[0].split()[-1]]
    right, left = (notes(staff) for staff in exercise.staves)
    assert [a.diatonicNoteNum - b.diatonicNoteNum for a, b in zip(right, left, strict=True)] == (
        [steps] * (14 * count + 1)
    )
    said = {}
    for staff, start in zip(exercise.staves, starts):
        line = notes(staff)
        up = [p.name for p in reading.scale(theirs_key(exercise)[0], form, count + 1)]
        back = [p.name for p in reading.scale(theirs_key(exercise)[0], form, count + 1, down=True)]
        there = up[start - 1 : start + 7 * count]
        again = back[::-1][start - 1 : start + 7 * count]
        assert [p.name for p in line] == [*there, *again[-2::-1]]
        numbers = [p.diatonicNoteNum - line[0].diatonicNoteNum for p in line]
        assert numbers == [*range(7 * count + 1), *range(7 * count - 1, -1, -1)]
        blanks = reading.answers(exercise, "finger", staff.hand)
        assert [theirs(b.of[0]) for b in blanks] == line
        middle = 7 * count
        for whole in wholes(blanks):
            meet_laws(list(whole[: middle + 1]), staff.hand)
            if form != "melodic":
                meet_laws(list(whole[middle:][::-1]), staff.hand)
        for rises, part in ((True, blanks[: middle + 1]), (False, blanks[middle + 1 :][::-1])):
            own = "natural" if form == "melodic" and not rises else form
            versions = published("scale", tonic, own, hand=staff.hand, octaves=count)
            if start != 1:
                versions = published_from_third(tonic, own, staff.hand, count)
            for version in versions if not any(b.given for b in blanks) else []:
                for digit, blank in zip(version, part):
                    assert digit in (blank.answer, *blank.also, "?"), (blank, versions)
            for place, blank in enumerate(part):
                digits = {version[place] for version in versions} - {"?"}
                said[blank] = opinion(blank, digits)
    return Counter(said.values())


def check_scale_notes(exercise, stretch, form, count, rises) -> None:
    tonic, mode = theirs_key(exercise)
    assert reading.key(exercise.label) == m21key.Key(tonic, mode)
    wanted = reading.scale(tonic, form, count, down=not rises)
    assert run_names(stretch) == [p.name for p in wanted][:: 1 if rises else -1]
    numbers = [p.diatonicNoteNum for p, _ in stretch]
    assert numbers == list(range(numbers[0], numbers[0] + 7 * count + 1))


def check_chromatic(exercise) -> Counter:
    """Half steps from the tonic, none with a double sign: black keys sharp going up and flat
    going down, but all as the tonic where that has a sign (common practice, no source)."""
    together(exercise)
    tonic, _ = theirs_key(exercise)
    assert exercise.label.startswith("Chromatic scale starting on ") and not exercise.signed
    said = {}
    for staff in exercise.staves:
        runs = run(exercise, staff)
        for rises, stretch in runs:
            names = run_names(stretch)
            assert [p.ps - stretch[0][0].ps for p, _ in stretch] == list(
                range(12 * octaves(exercise) + 1)
            ) and names[0] == names[-1] == tonic
            sign = tonic[1:] or ("#" if rises else "-")
            assert all(
                name == tonic or name in "CDEFGAB" or (name in BLACK and name[1] == sign)
                for name in names
            )
            # the left hand mirrors the right around D: a law, no outside opinion
            fingers = "".join(
                published_chromatic(
                    p.pitchClass if staff.hand == "right" else (4 - p.pitchClass) % 12
                )
                for p, _ in stretch
            )
            found = opinions(stretch, [fingers], staff.hand, printed(*(one for _, one in runs)))
            said |= found if staff.hand == "right" else dict.fromkeys(found, NONE)
    return Counter(said.values())


@cache
def moved(name: str, interval: str) -> str:
    return reading.m21pitch.Pitch(name + "4").transpose(interval).name


def check_five(exercise) -> Counter:
    """Five neighbouring notes, a finger for each, in the order that the label says."""
    together(exercise)
    tonic, mode = theirs_key(exercise)
    own = [p.name for p in reading.scale(tonic, "natural" if mode == "minor" else "major", 1)][:5]
    counted = Counter()
    for staff in exercise.staves:
        line = notes(staff)
        assert sorted({p.name for p in line}) == sorted(own) and max(line).ps - min(line).ps == 7
        places = "021324310" if "in skips" in exercise.label else "012343210"
        if "down and up" in exercise.label:
            places = [4 - int(place) for place in places]
        assert [p.name for p in line] == [own[int(place)] for place in places]
        digits = "12345" if staff.hand == "right" else "54321"
        blanks = reading.answers(exercise, "finger", staff.hand)
        assert [b.column for b in blanks] == list(range(9))
        assert [b.of for b in blanks] == [event.pitches for event in staff.events]
        assert [(b.answer, b.also) for b in blanks] == [(digits[int(p)], ()) for p in places]
        counted[NONE] += len(blanks)
    return counted


def check_crossings(exercise) -> Counter:
    together(exercise)
    form, tonic = reading.form(exercise), tonic_key(exercise)
    back = "natural" if form == "melodic" else form
    found = {}
    for staff in exercise.staves:
        line = notes(staff)
        blanks = reading.answers(exercise, "cross", staff.hand)
        assert [b.column for b in blanks] == list(range(1, 15))
        for rises, stretch in stretches(list(zip(line, [None, *blanks])), [p.ps for p in line]):
            check_scale_notes(exercise, stretch, form, 1, rises)
        versions = [
            published("scale", tonic, own, hand=staff.hand, octaves=1) or [""]
            for own in (form, back)
        ]
        crossed = [
            marks
            for up, down in itertools.product(*versions)
            if form == "melodic" or up == down
            for marks in [both_ways(up, down, staff.hand)]
            if all(mark in (b.answer, "?") for mark, b in zip(marks, blanks) if b.given)
        ]
        for place, blank in enumerate(blanks):
            accepted = {blank.answer, *blank.also}
            assert blank.answer in "1234–" and accepted <= {*"1234–", ""}
            said = {marks[place] for marks in crossed} - {"?"}
            assert said <= accepted, (blank, versions)
            found[blank] = opinion(blank, said)
    return Counter(found.values())


def both_ways(up: str, down: str, hand: str) -> list[str]:
    """What crosses at each note but the first, up and down again, of fingerings low to high;
    "?" on a way of which there is none.

    The top note has the finger that it was reached with.
    """
    there = crossings(up, hand, True)[1:] if up else ["?"] * 7
    back = crossings(down[:-1] + (up or down)[-1], hand, False)[-2::-1] if down else ["?"] * 7
    return there + back


def check_primary(exercise) -> Counter:
    together(exercise)
    chords = {}
    for staff in exercise.staves:
        for column, event in enumerate(staff.events):
            names = tuple(theirs(p).name for p in event.pitches)
            assert is_close([theirs(p) for p in event.pitches])
            chords.setdefault(column, names)
    own = {numeral: roman(numeral, *theirs_key(exercise)) for numeral in ("I", "IV", "V")}
    if exercise.key.minor:
        own = {n: roman(n, *theirs_key(exercise)) for n in ("i", "iv", "V")}
    assert sorted(chords.values()) == sorted(own.values())
    counted = Counter()
    for blank in exercise.blanks:
        names = chords[blank.column]
        assert blank.asks == "finger" or tuple(theirs(p).name for p in blank.of) == names
        if blank.asks == "numeral":
            assert own[blank.answer] == names and not blank.also
        elif blank.asks == "chord":
            for name in (blank.answer, *blank.also):
                assert symbol(name) == names
        counted["music21"] += blank.asks != "finger"
    return counted + chord_fingers(exercise)


SYMBOL = re.compile(r"([A-G])(##|bb|#|b|[♯♭𝄪𝄫]?)((?:| major| maj|M)|( minor| min|min|m|-))")


def symbol(name: str) -> tuple[str, ...]:
    """The notes of a major or minor chord's name, however it is written."""
    letter, sign, _, minor = SYMBOL.fullmatch(name).groups()
    tonic = letter + reading.read(sign.replace("b", "♭"))
    return roman("i" if minor else "I", tonic, "minor" if minor else "major")


def is_close(pitches) -> bool:
    return all(a.ps < b.ps for a, b in itertools.pairwise(pitches)) and (
        pitches[-1].ps - pitches[0].ps < 12
    )


def check_broken_positions(exercise, size: int) -> Counter:
    """Seven groups of notes, root, 1st, 2nd, root and back, four of them upwards; each finger
    against the published ones of its position, which stays the same throughout."""
    tonic = roman("I" if not exercise.key.minor else "i", *theirs_key(exercise))
    counted = Counter()
    for staff in exercise.staves:
        line = notes(staff)
        groups = [line[start : start + size] for start in range(0, len(line), size)]
        blanks = reading.answers(exercise, "finger", staff.hand)
        assert not blanks or [[theirs(p) for p in b.of] for b in blanks] == [[p] for p in line]
        said = []
        for number, group in enumerate(groups):
            low = group if number < 4 else group[::-1]
            turn = (0, 1, 2, 0, 2, 1, 0)[number]
            assert [p.name for p in low] == [tonic[(turn + step) % 3] for step in range(size)]
            assert all(a.ps < b.ps < a.ps + 12 for a, b in itertools.pairwise(low))
            assert number in (0, 4) or (group[0].ps > groups[number - 1][0].ps) == (number < 4)
            digits = published_broken(
                tonic_key(exercise), exercise.key.mode, POSITIONS[turn], staff.hand, size
            )
            said.append([digits, number < 4])
        assert len(groups) == 7 and groups[0][0] == groups[6][-1]
        assert [p.ps for p in sorted(groups[3], key=lambda p: p.ps)[:3]] == [
            p.ps + 12 for p in groups[0][:3]
        ]
        if not blanks:
            continue
        law = follow_keys if size == 3 else meet_laws
        for whole in zip(*(b.versions for b in blanks), strict=True):
            for number in range(7):
                part = list(whole[number * size : (number + 1) * size])
                law(part if number < 4 else part[::-1], staff.hand)
        for number, (digits, rises) in enumerate(said):
            for step, blank in enumerate(blanks[number * size : (number + 1) * size]):
                fingers = {text[step if rises else size - 1 - step] for text in digits}
                if not any(b.given for b in blanks):
                    assert fingers <= {blank.answer, *blank.also}, (blank, digits)
                assert {blank.answer, *blank.also} == {*blank.versions}
                counted[opinion(blank, fingers)] += 1
    return counted


def check_inversions(exercise) -> Counter:
    together(exercise)
    if "dominant seventh, broken" in exercise.label:
        return check_broken_sevenths(exercise)
    size = 4 if "four notes" in exercise.label else 3 if "broken" in exercise.label else 0
    if size:
        return check_broken_positions(exercise, size) + check_groups(exercise, size)
    tones = turned_chord(exercise)
    count = len(tones)
    climbing = [0, 1, 2, 0, 2, 1, 0] if count == 3 else [0, 1, 2, 3, 0, 3, 2, 1, 0]
    counted = Counter()
    for staff in exercise.staves:
        chords = [[theirs(p) for p in event.pitches] for event in staff.events]
        assert all(is_close(chord) and {p.name for p in chord} == set(tones) for chord in chords)
        assert all(len(chord) == count for chord in chords)
        turns = [m21chord.Chord(chord).inversion() for chord in chords]
        lows = [chord[0].ps for chord in chords]
        if turns == climbing:
            up = lows[: count + 1]
            assert up == sorted(set(up)) and lows == lows[::-1] and up[-1] == up[0] + 12
        else:  # mixed
            assert min(map(turns.count, range(count))) >= 2 and max(lows) - min(lows) <= 12
            assert len(turns) == len(climbing)
            assert all(a != b for a, b in itertools.pairwise(turns))
    for blank in reading.answers(exercise, "position"):
        sounded = m21chord.Chord([theirs(p) for p in blank.of])
        assert list(sounded.pitches) == [
            theirs(p) for p in exercise.staves[0].events[blank.column].pitches
        ]
        check_position(blank, sounded.inversion(), count)
        counted["music21"] += 1
    return counted + chord_fingers(exercise)


def turned_chord(exercise) -> tuple[str, ...]:
    """The names of the chord of which the label says that it is turned, from the root up."""
    if "dominant seventh" in exercise.label:
        return roman("V7", *theirs_key(exercise))
    return roman("i" if exercise.key.minor else "I", *theirs_key(exercise))


def check_broken_sevenths(exercise) -> Counter:
    """Nine groups of four notes, root, 1st, 2nd, 3rd, root and back, five of them upwards; each
    position keeps its fingers, which follow the keys."""
    tones = turned_chord(exercise)
    counted = Counter()
    for staff in exercise.staves:
        line = notes(staff)
        groups = [line[start : start + 4] for start in range(0, len(line), 4)]
        lows = [group if number < 5 else group[::-1] for number, group in enumerate(groups)]
        turns = [0, 1, 2, 3, 0, 3, 2, 1, 0]
        assert [[p.name for p in low] for low in lows] == [
            [tones[(turn + step) % 4] for step in range(4)] for turn in turns
        ]
        assert all(is_close(low) for low in lows)
        assert [low[0].ps for low in lows[:5]] == sorted({low[0].ps for low in lows})
        assert lows[4][0].ps == lows[0][0].ps + 12 and lows[:4] == lows[:4:-1]
        blanks = reading.answers(exercise, "finger", staff.hand)
        assert not blanks or [[theirs(p) for p in b.of] for b in blanks] == [[p] for p in line]
        for whole in zip(*(b.versions for b in blanks), strict=True):
            for number in range(9):
                part = list(whole[4 * number : 4 * number + 4])
                follow_keys(part if number < 5 else part[::-1], staff.hand)
        counted[NONE] += len(blanks)
    return counted + check_groups(exercise, 4)


def check_groups(exercise, size: int) -> Counter:
    """The position of each group of notes."""
    counted = Counter()
    for blank in reading.answers(exercise, "position"):
        line = exercise.staves[0].events[blank.column : blank.column + size]
        assert sorted(blank.of) == sorted(event.pitches[0] for event in line)
        sounded = m21chord.Chord([theirs(p) for p in blank.of])
        check_position(blank, sounded.inversion(), len(turned_chord(exercise)))
        counted["music21"] += 1
    return counted


def check_position(blank, turn: int, size: int) -> None:
    """The position of a chord of so many notes, by its name or its figures."""
    figures = FIGURES if size == 3 else SEVENTH_FIGURES
    for name in (blank.answer, *blank.also):
        assert name in figures[turn] or (
            {"R": "root", "f": "1st", "s": "2nd", "t": "3rd"}.get(name[0], name)[0]
            == POSITIONS[turn][0]
        )
    assert blank.answer == POSITIONS[turn]


def check_arpeggio(exercise) -> Counter:
    together(exercise)
    key, label = theirs_key(exercise), exercise.label
    tonic, minor = tonic_key(exercise), exercise.key.minor
    position = next((p for p in POSITIONS if f"{p} inversion" in label), "root")
    if "dominant seventh" in label:
        tones, subject = roman("V7", *key), ("dominant", (tonic + 7) % 12, position)
    elif "diminished seventh" in label:
        tones, subject = roman("viio7", *key), ("diminished", (tonic + 11) % 12)
    else:
        tones = roman("i" if minor else "I", *key)
        subject = ("arpeggio", tonic, exercise.key.mode, position)
    turn = POSITIONS.index(position)
    wanted = [*tones[turn:], *tones[:turn]] * octaves(exercise) + [tones[turn]]
    said = {}
    for staff in exercise.staves:
        found = run(exercise, staff)
        assert [rises for rises, _ in found] == [True, False]
        for _, stretch in found:
            assert run_names(stretch) == wanted
            assert stretch[-1][0].ps - stretch[0][0].ps == 12 * octaves(exercise)
            said |= opinions(
                stretch,
                published(*subject, hand=staff.hand, octaves=octaves(exercise)),
                staff.hand,
                printed(*(one for _, one in found)),
            )
    return Counter(said.values())


PATTERNS = {
    "broken chord": {3: "0121" * 2 + "0", 4: "012321" * 2 + "0"},
    "Alberti pattern": {3: "0212" * 2 + "0", 4: "031323" * 2 + "0"},
}
"""Which tone of the chord, from the lowest: common practice, no source."""


def check_broken(exercise) -> Counter:
    together(exercise)
    words, numeral = exercise.label.split(", ")[1].rsplit(" ", 1)
    tones = roman(numeral, *theirs_key(exercise))
    counted = Counter()
    for staff in exercise.staves:
        found = notes(staff)
        held = sorted({p.nameWithOctave: p for p in found}.values(), key=lambda p: p.ps)
        assert is_close(held) and sorted(p.name for p in held) == sorted(tones)
        order = PATTERNS[words.lower().replace("alberti", "Alberti")][len(held)]
        assert found == [held[int(place)] for place in order]
        blanks = reading.answers(exercise, "finger", staff.hand)
        assert [theirs(b.of[0]) for b in blanks] == found
        fingers = {b.of[0]: b.answer for b in blanks}
        assert all(fingers[b.of[0]] == b.answer and set(b.also) <= set("12345") for b in blanks)
        follow_keys([finger for _, finger in sorted(fingers.items())], staff.hand)
        counted[NONE] += len(blanks)
    return counted


def check_intervals(exercise) -> Counter:
    counted = Counter()
    tonic = theirs_key(exercise)[0]
    for staff in exercise.staves:
        blanks = reading.answers(exercise, "interval", staff.hand)
        assert [b.column for b in blanks] == list(range(len(staff.events)))
        numbers = set()
        for blank, event in zip(blanks, staff.events):
            low, high = map(theirs, event.pitches)
            assert blank.of == event.pitches and low.name == tonic
            name = m21interval.Interval(low, high).name
            assert blank.answer in (name, name[1:])
            sizes = SIZES[name[1:]]
            allowed = set(sizes)
            if len(blank.answer) > 1:
                words = QUALITIES[name[0]]
                allowed = {
                    f"{word}{gap}{size}" for word in words for gap in ("", " ") for size in sizes
                }
            assert set(blank.also) <= allowed
            assert high.name in {
                p.name
                for p in reading.scale(tonic, "harmonic" if exercise.key.minor else "major", 1)
            }
            numbers.add(name[1:])
            counted["music21"] += 1
        assert numbers == set("2345678")
    return counted
