"""Registers: where the music stands, stated as bounds and looked for in the notes themselves.

The checks read pitches and know nothing of ``music/register.py``. All bounds: common practice,
no source. The ordinary run has keys without and with seven sharps or flats and three between;
``-m sweep`` has all 30, with more seeds.
"""

from itertools import groupby, pairwise
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS, Event
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import pitch, scientific, semitone
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

SOME_KEYS = [
    parse_key(name)
    for name in ("C major", "C# major", "Cb major", "Eb major", "A minor", "A# minor", "F# minor")
]
RUNS = ("scale-fingering", "arpeggio", "chromatic-scale")
ON_THEIR_OWN = (
    "note-names",
    "half-steps",
    "interval-building",
    "interval-quality",
    "interval-numbers",
    "enharmonic-notes",
    "clef-rewriting",
    "triad-quality",
    "chord-building",
    "triad-spelling",
    "chord-tones",
    "harmonizing",
    "accompaniment",
    "periods",
)
"""What is read and not played: each note or chord is anywhere on its staff, and with two staves
each may have notes of its own."""
OWN_ORDER = ("intervals", "scale-degrees", "scale-repair")
"""Two staves an octave apart, each with its own order or its own wrong notes."""
BASS = ("progression", "cadences", "cadence-writing", "chromatic-chords", "figured-bass")
"""Families that have single notes for the left hand under chords for the right."""
IN_C = ("five-finger", "thumb-crossings", "inversions", "intervals", "scale-writing")
"""Families whose lowest note in C major is in the octave from middle C, or an octave lower."""
PITCHED = [name for name, one in FAMILIES.items() if one.keyed]
"""Families of notes, not of rhythms and words."""
LEDGER = {"treble": ("E4", "F5"), "bass": ("G2", "A3")}


def degree(p) -> int:
    return 7 * p.octave + p.step


def at(name) -> int:
    return degree(pitch(name))


def lines(p, event) -> int:
    """The ledger lines of a note as it is printed."""
    low, high = map(at, LEDGER[event.clef])
    here = degree(p) - 7 * event.ottava
    return max((low - here) // 2, (here - high) // 2, 0)


def notes(staff):
    return [p for event in staff.events for p in event.pitches]


def lowest(staff) -> int:
    return min(map(degree, notes(staff)))


def octaves(exercise) -> int:
    """How many octaves a run has, by its notes."""
    return max((max(map(degree, notes(staff))) - lowest(staff)) // 7 for staff in exercise.staves)


def has_bass(exercise) -> bool:
    return (
        exercise.settings.get("style") == "keyboard"
        or has_resolution(exercise)
        or (
            exercise.family in ("cadences", "cadence-writing", "figured-bass")
            and exercise.hand == "both"
        )
    )


def has_resolution(exercise) -> bool:
    return exercise.settings.get("task") == "resolve"


def contrary(exercise) -> bool:
    return exercise.settings.get("motion") == "contrary"


def in_fours(exercise) -> bool:
    """Whether broken chords have four notes, and so two octaves."""
    return exercise.settings.get("pattern") == "four-note"


def check(exercise):
    for bound in (apart, one_key, clear_chords, home, few_lines, clefs, not_interlocked):
        bound(exercise)


APART = {"third": 2, "sixth": 5, "tenth": 9}


def wide_apart(exercise) -> int:
    """How many degrees hands are apart that are not an octave apart, or 0."""
    return APART.get(exercise.settings.get("apart"), 0)


def apart(exercise):
    """Hands together stand one octave apart, note by note, or as the setting has it."""
    if len(exercise.staves) < 2 or has_bass(exercise) or contrary(exercise):
        return
    right, left = exercise.staves
    if wide_apart(exercise):
        for one, other in zip(right.events, left.events, strict=True):
            assert degree(one.pitches[0]) - degree(other.pitches[0]) == wide_apart(exercise)
        return
    if exercise.family in OWN_ORDER:
        assert lowest(right) - lowest(left) == 7 or exercise.family == "scale-degrees"
    elif exercise.family not in ON_THEIR_OWN:
        for one, other in zip(right.events, left.events, strict=True):
            assert [semitone(p) - 12 for p in one.pitches] == [semitone(p) for p in other.pitches]
            assert [degree(p) - 7 for p in one.pitches] == [degree(p) for p in other.pitches]


def one_key(exercise):
    """Contrary motion starts, turns back to and ends on one key for both hands."""
    if contrary(exercise):
        right, left = (notes(staff) for staff in exercise.staves)
        assert right[0] == right[-1] == left[0] == left[-1]
        assert min(map(semitone, right)) == max(map(semitone, left)) == semitone(right[0])


def clear_chords(exercise):
    """Chords in one hand have no note below F2; a bass of single notes may go to C2."""
    for staff in exercise.staves:
        for event in staff.events:
            if len(event.pitches) >= 3:
                assert degree(event.pitches[0]) >= at("F2"), scientific(event.pitches[0])
    if has_bass(exercise):
        right, left = exercise.staves
        assert lowest(left) >= at("C2")
        for one, other in zip(right.events, left.events, strict=True):
            assert 0 < semitone(one.pitches[0]) - semitone(other.pitches[0]) <= 24


def home(exercise):
    """Where the lowest note of each hand lies: the right hand no octave too high, long runs
    from C2 and C3, three octaves in the right hand from E3 to D4.
    """
    if exercise.family in (*ON_THEIR_OWN, "scale-matching", "key-signatures", "scale-degrees"):
        return  # no music, several scales, or a few notes of one
    chords = any(len(event.pitches) >= 3 for staff in exercise.staves for event in staff.events)
    for staff in exercise.staves:
        low = lowest(staff)
        wide = octaves(exercise) if exercise.family in RUNS or in_fours(exercise) else 1
        if wide_apart(exercise):
            first, last = ("G3", "B4") if wide == 1 else ("E3", "F4")
            down = wide_apart(exercise) * (staff.hand == "left")
            assert at(first) - down <= low <= at(last) - down
        elif contrary(exercise):
            assert at("G3") - 7 * wide * (staff.hand == "left") <= low <= at("F4")
        elif wide == 4:
            first = "C3" if staff.hand == "right" else "C2"
            assert at(first) <= low < at(first) + 7
        elif wide == 3:
            first = {"right": "E3", "left": "B1", "both": "C3"}[exercise.hand]
            down = 7 * (exercise.hand == "both" and staff.hand == "left")
            assert at(first) - down <= low < at(first) + 7 - down
        elif wide == 2:
            first = {"right": "G3", "left": "B1", "both": "D3"}[exercise.hand]
            down = 7 * (exercise.hand == "both" and staff.hand == "left")
            assert at(first) - down <= low <= at(first) + 7 - down
        elif staff.hand == "right":
            assert at("F3") <= low <= at("A4" if chords else "B4")
        else:
            assert at("C2" if has_bass(exercise) else "F2" if chords else "E2") <= low <= at("B3")
    in_c = exercise.key == parse_key("C major") and exercise.settings.get("start", 1) == 1
    if in_c and exercise.family in IN_C and not in_fours(exercise):
        for staff in exercise.staves:
            start = at("C4" if staff.hand == "right" else "C3")
            if "dominant seventh" in exercise.label:  # begins on G, above or below
                assert start - 3 <= lowest(staff) < start + 7
            else:
                assert start <= lowest(staff) < start + 7


def few_lines(exercise):
    """Ledger lines: two are asked for; chords of two keys and arpeggios of both hands may
    need four, runs of two octaves and inversions that climb over an octave three.
    """
    if exercise.family in RUNS:
        sparse = exercise.family == "arpeggio" and exercise.hand == "both"
        most = 4 if sparse else 3 if octaves(exercise) > 1 else 2
    elif exercise.family == "transposition":
        most = 4
    elif exercise.family == "inversions" or has_bass(exercise) or exercise.hand == "both":
        most = 3
    else:
        most = 2
    for staff in exercise.staves:
        for event in staff.events:
            assert all(lines(p, event) <= most for p in event.pitches), (
                most,
                [scientific(p) for p in event.pitches],
            )


def clefs(exercise):
    """Only runs change clef or have octave lines, at an octave of the run and for four notes
    or more (three of an arpeggio); two octaves in one hand stay on its own staff.
    """
    for staff in exercise.staves:
        own = {"right": "treble", "left": "bass"}[staff.hand]
        ways = [(event.clef, event.ottava) for event in staff.events]
        if exercise.family == "inversions":
            far = any(lines(p, Event((p,), own)) > 3 for p in notes(staff))
            assert ({clef for clef, _ in ways} != {own}) == far
            assert sum(one != other for one, other in pairwise(ways)) <= 3
            continue
        if exercise.family not in RUNS or (exercise.hand != "both" and octaves(exercise) < 3):
            assert set(ways) == {(own, 0)}
            continue
        fewest = 3 if exercise.family == "arpeggio" else 4  # an octave of a triad has three
        assert all(len(list(group)) >= fewest for _, group in groupby(ways))
        for before, after in pairwise(staff.events):
            if (before.clef, before.ottava) != (after.clef, after.ottava):
                assert after.after != "break"
                # the higher of the two begins an octave of the run, or did so at the line's end
                higher = max(degree(before.pitches[0]), degree(after.pitches[0]))
                begins = (higher - lowest(staff)) % 7 == 0
                ended = before.after == "break"
                assert begins or (ended and (degree(before.pitches[0]) - lowest(staff)) % 7 == 0)


def not_interlocked(exercise):
    """At each moment the left hand is below the right; they may meet on one key."""
    if len(exercise.staves) == 2:
        for one, other in zip(*(staff.events for staff in exercise.staves), strict=True):
            if one.pitches and other.pitches:
                right, left = min(map(semitone, one.pitches)), max(map(semitone, other.pitches))
                same = contrary(exercise) or exercise.family in (*OWN_ORDER, "clef-rewriting")
                assert left < right or same
                assert left <= right


def exercises(family, keys, seeds):
    kind = FAMILIES[family]
    choices = [{name: value} for name, values in kind.settings.items() for value in values] or [{}]
    if "motion" in kind.settings:
        choices.append({"motion": "contrary", "octaves": 2})
        choices += [{"apart": apart, "octaves": 2} for apart in APART]
    for key in keys:
        for hand in HANDS if kind.by else HANDS[:1]:
            for settings in choices:
                if not kind.problem(settings, key, hand):
                    for seed in range(seeds):
                        request = Request(key, hand, kind.asks, 0, 2, settings)
                        yield kind.make(request, Random(f"{key}{hand}{settings}{seed}"))


@pytest.mark.parametrize("family", PITCHED)
def test_bounds(family):
    for exercise in exercises(family, SOME_KEYS, 2):
        check(exercise)


@pytest.mark.sweep
@pytest.mark.parametrize("family", PITCHED)
def test_bounds_in_all_keys(family):
    for exercise in exercises(family, ALL_KEYS, 3):
        check(exercise)


def of_template(name, keys, seed):
    row = Row("Pippa Marrowby", read_template(available()[name]), tuple(keys), "", None, 2)
    return [item.exercise for item in plan(row, seed).items]


@pytest.mark.sweep
@pytest.mark.parametrize("name", sorted(available()))
def test_bounds_in_the_templates(name):
    for seed in range(10):
        for exercise in of_template(name, ALL_KEYS, str(seed)):
            check(exercise)


def test_level_1_has_middle_c_the_notes_around_it_and_c_position():
    keys = [parse_key(name) for name in ("C major", "G major", "F major")]
    for seed in range(5):
        found = of_template("level-01", keys, str(seed))
        ranges = {e.settings["range"] for e in found if e.family == "note-names"}
        assert ranges >= {"middle C", "C position"}
        read = {
            scientific(p)
            for e in found
            if e.family == "note-names"
            for s in e.staves
            for p in notes(s)
        }
        assert "C4" in read and read & {"B3", "Bb3"} and "D4" in read
        for exercise in (e for e in found if e.family == "five-finger"):
            if exercise.key == keys[0]:
                (staff,) = exercise.staves
                assert lowest(staff) == at("C4" if staff.hand == "right" else "C3")
