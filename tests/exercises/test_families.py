"""Every family in all 30 keys and for every hand, and the check values of the trade.

The check values are common practice, no source, unless a line names one.
"""

import itertools
import re
from random import Random

import pytest
from asked import Request

from workbook.engraving.rows import box_rows, boxes_at_ends
from workbook.exercises.families import FAMILIES
from workbook.exercises.model import DRAWN, HANDS
from workbook.fingering.conventions import load
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import scientific, staff_degree


def make(family, key, hand="right", ask=None, given=0, seed=0, **settings):
    kind = FAMILIES[family]
    return kind.make(
        Request(
            parse_key(key) if isinstance(key, str) else key,
            hand,
            ask or kind.asks,
            given,
            2,
            settings,
        ),
        Random(seed),
    )


def answers(exercise, asks, hand=None):
    columns = {}
    for blank in exercise.blanks:
        if blank.asks == asks and hand in (None, blank.hand):
            columns.setdefault(blank.column, []).append(blank.answer)
    return ["-".join(column) for _, column in sorted(columns.items())]


def cases(family):
    """A family with every value of each of its settings, the others as they are."""
    settings = FAMILIES[family].settings
    return [{name: value} for name, values in settings.items() for value in values] or [{}]


@pytest.mark.parametrize("family", FAMILIES)
def test_printed_words_have_printers_apostrophes(family):
    for settings in cases(family):
        exercise = make(family, "C major", **settings)
        printed = [
            exercise.task,
            exercise.label,
            FAMILIES[family].title,
            *(blank.answer + blank.why for blank in exercise.blanks),
        ]
        assert not any("'" in words for words in printed), settings


@pytest.mark.parametrize(
    "step, seeds",
    [
        pytest.param(10, 2, id="some"),
        pytest.param(1, 3, id="every", marks=pytest.mark.sweep),
    ],
)
@pytest.mark.parametrize("family", FAMILIES)
def test_every_key_builds(family, step, seeds):
    """In the suite one key in ten, others for each hand and setting."""
    for number, (hand, settings) in enumerate(itertools.product(HANDS, cases(family))):
        for key in ALL_KEYS[(number + len(family)) % step :: step]:
            for seed in range(seeds):
                check_built(make(family, key, hand, seed=seed, **settings))


def check_built(exercise):
    assert len({len(staff.events) for staff in exercise.staves}) == bool(exercise.staves), exercise
    assert bool(exercise.staves) != bool(exercise.figure), exercise
    assert len({blank.tag for blank in exercise.blanks}) == len(exercise.blanks), exercise
    for staff in exercise.staves:
        for event in staff.events:
            assert list(event.pitches) == sorted(event.pitches, key=staff_degree), exercise
    if len(exercise.staves) == 2 and exercise.family != "clef-rewriting":  # one pitch, twice
        right, left = exercise.staves
        assert all(
            staff_degree(low.pitches[0]) < staff_degree(high.pitches[0])
            or (low.pitches == high.pitches and "contrary" in exercise.label)
            for high, low in zip(right.events, left.events)
            if high.pitches and low.pitches
        ), exercise


def test_spelling():
    run = [
        scientific(p)
        for e in make("scale-fingering", "G# minor", forms="harmonic").staves[0].events
        for p in e.pitches
    ]
    assert "F##5" in run or "F##4" in run
    run = [
        scientific(p)[:-1]
        for e in make("scale-fingering", "Eb minor", forms="natural").staves[0].events
        for p in e.pitches
    ]
    assert run[5] == "Cb"


def test_progression_in_c():
    exercise = make("progression", "C major", seed=1)
    chords = [[scientific(p)[:-1] for p in e.pitches] for e in exercise.staves[0].events]
    assert chords == [list("CEG"), list("CFA"), list("CEG"), list("BFG"), list("CEG")]
    assert answers(exercise, "finger") == ["1-3-5", "1-3-5", "1-3-5", "1-4-5", "1-3-5"]
    assert answers(exercise, "numeral") == ["I", "IV", "I", "V7", "I"]
    assert answers(make("progression", "C major", "left"), "finger") == [
        "5-3-1",
        "5-2-1",
        "5-3-1",
        "5-2-1",
        "5-3-1",
    ]
    assert answers(make("progression", "A minor"), "chord") == ["Am", "Dm", "Am", "E7", "Am"]


def test_progression_has_one_shape_in_every_key():
    for key in ALL_KEYS:
        for numerals in ("full", "short"):
            for exercise in (make("progression", key, seed=s, numerals=numerals) for s in (1, 2)):
                shapes = answers(exercise, "finger")
                assert shapes[-2] == "1-4-5" and set(shapes) == {"1-3-5", "1-4-5"}


def test_inversions():
    right, left = make("inversions", "E major"), make("inversions", "E major", "left")
    assert answers(right, "position") == ["root", "1st", "2nd", "root", "2nd", "1st", "root"]
    assert answers(right, "finger")[:4] == ["1-3-5", "1-2-5", "1-3-5", "1-3-5"]
    assert answers(left, "finger")[:4] == ["5-3-1", "5-3-1", "5-2-1", "5-3-1"]


@pytest.mark.parametrize(
    "key, numerals", [("D major", {"I", "IV", "V"}), ("D minor", {"i", "iv", "V"})]
)
def test_primary_chords(key, numerals):
    exercise = make("primary-chords", key)
    assert set(answers(exercise, "numeral")) == numerals
    assert answers(exercise, "finger") == ["1-3-5"] * 3


def test_given_blanks_are_so_many_and_leave_something_to_do():
    exercise = make("progression", "C major", given=2)
    for asks in ("numeral", "chord"):
        row = [blank for blank in exercise.blanks if blank.asks == asks]
        assert sum(blank.given for blank in row) == 2
    exercise = make("progression", "C major", given=99)
    assert any(not blank.given for blank in exercise.blanks)


def test_what_one_hand_cannot_play_is_set_for_both():
    kind, numerals = FAMILIES["progression"], "I ii6/5 V4/3 I"
    for hand in HANDS:
        exercise = make("progression", "C major", hand, numerals=numerals)
        assert exercise.hand == "both" and exercise.settings["style"] == "keyboard"
        assert [len(staff.events[0].pitches) for staff in exercise.staves] == [3, 1]
        assert kind.skill(exercise.settings, exercise.hand) == "progression/both/keyboard style"
    assert make("progression", "C major", "left", numerals="I vi ii6 V7 I").hand == "left"
    asked, key = {"numerals": numerals, "style": "keyboard"}, parse_key("C major")
    assert "needs two hands" in kind.problem(asked, key, "right")
    for family in ("missing-chord", "transposition"):
        problem = FAMILIES[family].problem({"numerals": numerals}, key, "right")
        assert "cannot be played in close position" in problem


def test_another_seed_gives_another_exercise():
    assert len({make("intervals", "C major", seed=s).blanks for s in range(10)}) > 5
    assert make("intervals", "C major", seed=3) == make("intervals", "C major", seed=3)


def test_contrary_motion():
    exercise = make("scale-fingering", "C major", "both", motion="contrary", octaves=1)
    right, left = ([scientific(e.pitches[0]) for e in staff.events] for staff in exercise.staves)
    assert right[:2] == ["C4", "D4"] and left[:2] == ["C4", "B3"]
    assert left[7] == "C3" and left[14] == "C4"
    assert answers(exercise, "finger", "left") == answers(exercise, "finger", "right")
    told = FAMILIES["scale-fingering"].problem
    minor, contrary = parse_key("A minor"), {"motion": "contrary"}
    assert told(contrary, minor, "both") == ""
    assert "two hands" in told(contrary, minor, "right")
    assert "two octaves" in told({**contrary, "octaves": 3}, minor, "both")
    assert "melodic" in told({**contrary, "forms": "melodic"}, minor, "both")


@pytest.mark.parametrize("octaves, lines", [(1, 1), (2, 2), (3, 3), (4, 4)])
def test_long_scales_break_into_lines_that_fit(octaves, lines):
    events = make("scale-fingering", "D major", octaves=octaves).staves[0].events
    runs = [0]
    for event in events:
        runs[-1] += 1
        if event.after == "break":
            runs.append(0)
    assert len(runs) == lines and max(runs) <= 15 and sum(runs) == 14 * octaves + 1


def test_four_octaves_for_hands_together_go_up_only():
    exercise = make("scale-fingering", "A minor", "both", octaves=4, forms="melodic")
    assert len(exercise.staves[0].events) == 29 and "going up" in exercise.label
    assert "".join(answers(exercise, "finger", "right"))[-8:] == "12312345"
    exercise = make("chromatic-scale", "C major", "both", octaves=2)
    assert len(exercise.staves[0].events) == 25 and "going up" in exercise.label


def test_inversions_in_mixed_order():
    """Each position twice or more, none twice running, and not the climb in every one."""
    seen = set()
    for seed in range(20):
        exercise = FAMILIES["inversions"].make(
            Request(parse_key("Ab major"), "left", ("position",), settings={"order": "mixed"}),
            Random(seed),
        )
        places = [blank.answer for blank in exercise.blanks]
        assert len(places) == 7 and min(map(places.count, ("root", "1st", "2nd"))) >= 2
        assert all(one != after for one, after in itertools.pairwise(places))
        seen.add(tuple(places))
    assert len(seen) > 10


@pytest.mark.parametrize(
    "key, names",
    [
        ("C minor", "C C# D D# E F F# G G# A A# B C B Bb A Ab G Gb F E Eb D Db C"),
        ("Eb major", "Eb E F Gb G Ab A Bb B C Db D Eb D Db C B Bb A Ab G Gb F E Eb"),
        ("C# minor", "C# D D# E F F# G G# A A# B C C# C B A# A G# G F# F E D# D C#"),
    ],
)
def test_a_chromatic_scale_has_no_key(key, names):
    exercise = make("chromatic-scale", key)
    notes = [event.pitches[0] for event in exercise.staves[0].events]
    assert [re.sub(r"\d", "", scientific(p)) for p in notes] == names.split()
    assert not exercise.signed and exercise.label.startswith("Chromatic scale starting on ")


def test_chromatic_scale():
    exercise = make("chromatic-scale", "A minor")
    names = [scientific(e.pitches[0])[:-1] for e in exercise.staves[0].events]
    assert names[:13] == ["A", "A#", "B", "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A"]
    assert names[12:] == ["A", "Ab", "G", "Gb", "F", "E", "Eb", "D", "Db", "C", "B", "Bb", "A"]
    assert "".join(answers(exercise, "finger"))[:13] == "1312313123131"
    left = make("chromatic-scale", "C major", "left", octaves=2)
    assert (
        "".join(answers(left, "finger"))
        == "1313213131321313213131321" + ("1313213131321313213131321"[-2::-1])
    )


def test_five_finger():
    exercise = make("five-finger", "Eb minor", "left")
    names = [scientific(e.pitches[0])[:-1] for e in exercise.staves[0].events]
    assert names == ["Eb", "F", "Gb", "Ab", "Bb", "Ab", "Gb", "F", "Eb"]
    assert answers(exercise, "finger") == list("543212345")


@pytest.mark.parametrize(
    "key, settings, notes, right, left",
    [
        ("D major", {"position": "1st"}, "F# A D F# D A F#", "2124212", "4212124"),
        ("C minor", {"position": "2nd"}, "G C Eb G Eb C G", "1235321", "5321235"),
        (
            "Bb major",
            {"chord": "dominant seventh"},
            "F A C Eb F Eb C A F",
            "123454321",
            "543212345",
        ),
        (
            "E major",
            {"chord": "diminished seventh"},
            "D# F# A C D# C A F# D#",
            "231232132",
            "432121234",
        ),
    ],
)
def test_arpeggios(key, settings, notes, right, left):
    for hand, fingers in (("right", right), ("left", left)):
        exercise = make("arpeggio", key, hand, **settings)
        names = [scientific(e.pitches[0])[:-1] for e in exercise.staves[0].events]
        assert " ".join(names) == notes
        assert "".join(answers(exercise, "finger")) == fingers


def test_thumb_crossings():
    exercise = make("thumb-crossings", "C major", "both")
    # 1 2 3 1 2 3 4 5 4 3 2 1 3 2 1 and 5 4 3 2 1 3 2 1 2 3 1 2 3 4 5, a box from the second on
    assert "".join(answers(exercise, "cross", "right")) == "––1––––––––3––"
    assert "".join(answers(exercise, "cross", "left")) == "––––3––––1––––"
    first = exercise.blanks[0]
    assert first.column == 1 and first.also == ("",)
    other = make("thumb-crossings", "B major", "left")  # 4 3 2 1 4 …, also 1 3 2 1 4 …
    assert other.blanks[0].answer == "–" and "3" in other.blanks[0].also


def test_broken_chords_have_the_fingers_of_the_block_chord():
    seen = set()
    for seed in range(12):
        exercise = make("broken-chord", "C major", seed=seed, numeral="IV", pattern="alberti")
        lowest, _highest, _middle = (
            scientific(e.pitches[0])[:-1] for e in exercise.staves[0].events[:3]
        )
        seen.add(lowest)
        fingers = "".join(answers(exercise, "finger"))
        assert fingers == {"F": "153515351", "A": "152515251", "C": "153515351"}[lowest]
    assert seen == {"F", "A", "C"}
    seventh = make("broken-chord", "C major", "left", seed=1, numeral="V7")
    assert len(seventh.blanks) == 13 and seventh.blanks[0].answer == "5"


def test_reasons_are_few():
    for family in FAMILIES:
        for hand in HANDS:
            exercise = make(family, "Eb major", hand)
            assert sum(bool(blank.why) for blank in exercise.blanks) <= 3
    right = make("scale-fingering", "Bb major")
    assert {b.why for b in right.blanks} - {""} == {"thumb under after 4", "4 on B♭", "3 over"}


def test_a_teachers_own_fingering_is_the_answer(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('[[scale]]\nkeys = ["Bb major"]\nright = "212312341231234"\n', "utf-8")
    kind = FAMILIES["scale-fingering"]
    exercise = kind.make(
        Request(parse_key("Bb major"), "right", kind.asks, fingering=load(path)), Random(1)
    )
    assert "".join(answers(exercise, "finger")) == "212312343213212"


def test_a_missing_seventh_chord_of_three_notes_says_so():
    told = set()
    for number in range(12):
        exercise = FAMILIES["missing-chord"].make(
            Request(parse_key("C# major"), "right", ("notes",), settings={"numerals": "full"}),
            Random(number),
        )
        short = any(
            len(b.of) == 3 and b.of[0] in exercise.staves[0].events[3].written
            for b in exercise.blanks
            if b.asks == "notes"
        )
        assert short == ("Leave the fifth out of V7." in exercise.task)
        told.add(short)
    assert told == {True, False}


@pytest.mark.parametrize("name", FAMILIES)
def test_boxes_are_counted_as_on_the_page(name):
    """Row by row from the top down, as the rows are engraved, and each from the left."""
    family = FAMILIES[name]
    for key, hand in itertools.product(("C major", "A minor"), HANDS if family.by else ("right",)):
        for asks in (family.asks, family.asks[::-1]):
            made = family.make(Request(parse_key(key), hand, asks), Random(1))
            if made.figure:
                continue
            found = [f"{b.asks}.{b.hand}" for b in made.blanks if b.asks not in DRAWN]
            at_ends = {row.name for row in boxes_at_ends(made, "middle").values()}
            rows = [row.name for row in box_rows(made)]
            assert list(dict.fromkeys(found)) == [*rows, *at_ends]
            for row in set(found):
                columns = [b.column for b in made.blanks if f"{b.asks}.{b.hand}" == row]
                assert columns == sorted(columns)
