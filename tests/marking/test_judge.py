"""The judge: what is accepted is right, in every spelling, and nothing else is."""

from functools import cache
from itertools import product
from random import Random

import pytest
from asked import Request
from music21.pitch import Pitch as Outside
from record.samples import EVERY_KEY, NAMINGS, SOME_KEYS, items

from workbook.exercises.families import FAMILIES
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.music.keys import parse_key
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import semitone
from workbook.record.from_exercise import unplaced
from workbook.record.model import Blank, Group, Item, Match

RIGHT, WRONG, EMPTY = Outcome.RIGHT, Outcome.WRONG, Outcome.EMPTY
MANY = [
    pytest.param("some", id="some"),
    pytest.param("every", id="every", marks=pytest.mark.sweep),
]


@cache
def some():
    """Every family and setting in three keys, the middle one in other words."""
    return [
        one
        for key, naming in zip(SOME_KEYS[1:], (ENGLISH, NAMINGS[1], ENGLISH), strict=True)
        for one in items(keys=[key], hands=("right", "both"), namings=[naming])
    ]


def made(wanted):
    """Items in so many keys and words; those of the suite are made once."""
    return some() if wanted == "some" else items(keys=EVERY_KEY, namings=NAMINGS)


def blank(match, answer, *accept, place=1, asks="", column=0):
    return Blank(
        f"1.{place}",
        asks or match.value,
        "right",
        column,
        (),
        match,
        answer,
        accept,
        "",
        1,
        (0.0, 0.0, 1.0, 1.0),
    )


def item(*blanks, groups=()):
    return Item(1, "", "", "C major", "right", "", {}, 0, {}, 1, 6, "", {}, groups, blanks)


def one(match, typed, answer, *accept):
    return judge(item(blank(match, answer, *accept)), {"1.1": typed})["1.1"]


def sheet(it):
    return {b.id: b.answer for b in it.blanks}


def outcomes(it, given):
    return set(judge(it, given).values())


@pytest.mark.parametrize("wanted", MANY)
def test_accepted_is_right(wanted):
    """Each answer, each accepted one beside the others' answers, each version as a whole."""
    families = set()
    for it in made(wanted):
        families.add(it.family)
        assert outcomes(it, sheet(it)) == {RIGHT}, (it, judge(it, sheet(it)))
        for b in it.blanks:
            for other in b.accept:
                assert outcomes(it, sheet(it) | {b.id: other}) == {RIGHT}, (b, other)
        for group in it.groups:
            for version in group.versions:
                assert outcomes(it, sheet(it) | whole(it, group, version)) == {RIGHT}
    assert families == set(FAMILIES)


def whole(it, group, version):
    return {
        it.blanks[place - 1].id: answer for place, answer in zip(group.blanks, version, strict=True)
    }


@pytest.mark.parametrize("wanted", MANY)
def test_mixtures_are_not_right(wanted):
    rng, mixed = Random(1), 0
    for it in made(wanted):
        for group in it.groups:
            for _ in range(3):
                parts = rng.choices(group.versions, k=len(group.blanks))
                mixture = tuple(part[i] for i, part in enumerate(parts))
                found = judge(it, sheet(it) | whole(it, group, mixture))
                own = [found[it.blanks[place - 1].id] for place in group.blanks]
                assert (WRONG in own) == (mixture not in group.versions)
                best = max(
                    sum(a == b for a, b in zip(mixture, version)) for version in group.versions
                )
                assert own.count(RIGHT) == best
                mixed += mixture not in group.versions
    assert mixed > 20


@pytest.mark.parametrize("wanted", MANY)
def test_other_answers_are_wrong(wanted):
    """Answers of other blanks, and the own one changed, in one box of a right sheet."""
    rng, tried, matches, seen = Random(2), 0, set(), set()
    for it in made(wanted):
        for b in it.blanks:
            if (what := (it.family, b.match, b.answer, it.also(b))) in seen:
                continue
            seen.add(what)
            others = {o.answer for o in it.blanks if o.asks == b.asks} - {b.answer, "–"}
            for wrong in [*rng.sample(sorted(others), min(2, len(others))), mutated(b.answer, rng)]:
                if wrong in it.also(b) or not strange(it, b, wrong):
                    continue
                assert judge(it, sheet(it) | {b.id: wrong})[b.id] == WRONG, (b, wrong)
                tried, matches = tried + 1, matches | {b.match}
    assert tried > 500 and matches == set(Match)


def strange(it, b, text):
    """Whether the text is not one of the accepted, told without the judge's rules but for
    capitals, signs and spaces."""
    if b.match in (Match.NOTES, Match.IN_ORDER):
        accepted = (b.answer, *it.also(b))
        return all(sorted(text.split()) != sorted(other.split()) for other in accepted)
    return bare(text) not in {bare(other) for other in (b.answer, *it.also(b))}


def bare(text):
    return "".join(text.lower().translate(str.maketrans("♯♭", "#b")).split()).replace("♮", "")


def mutated(answer, rng):
    """Another sign, figure or letter."""
    swaps = {
        "♯": "♭",
        "♭": "♯",
        "𝄪": "♯",
        "𝄫": "♭",
        "1": "2",
        "2": "3",
        "3": "4",
        "4": "5",
        "5": "1",
        "6": "4",
        "7": "6",
        "I": "V",
        "V": "I",
        "i": "v",
        "v": "i",
        "A": "B",
        "B": "D",
        "C": "F",
        "D": "E",
        "E": "G",
        "F": "C",
        "G": "A",
        "H": "E",
    }
    at = [i for i, letter in enumerate(answer) if letter in swaps]
    if not at:
        return answer + "zz"
    i = rng.choice(at)
    return answer[:i] + swaps[answer[i]] + answer[i + 1 :]


TYPED = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb", "°": "o", "–": "-", "½": "1/2"})
RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def variants(b, text):
    yield f"  {text}\u00a0"
    yield text.translate(RAISED)
    yield text.translate(LOWERED)
    if "½" not in text or len(text) == 1:
        yield text.translate(TYPED)
    if b.match not in (Match.NOTES, Match.IN_ORDER):
        yield " ".join(text) if "½" not in text else text
    if b.match == Match.TEXT:
        yield from (text.upper(), text.capitalize(), text + ".")
    if b.match == Match.CROSSING and text == "–":
        yield from ("-", "—", "−", "--")
    if b.match == Match.NOTE:
        yield from (
            text.upper(),
            text.lower(),
            text.replace("♭", " flat").replace("♯", "-Sharp"),
            text.replace("𝄪", "x"),
            text.replace("𝄪", " double sharp"),
        )
        if text[0] in "ABCDEFGH" and text != "OK":
            yield text + "4"
    if b.match in (Match.NOTES, Match.IN_ORDER):
        yield from (
            ", ".join(text.split()),
            "-".join(text.split()),
            text.lower(),
            text.replace("♭", "b").replace(" ", "  "),
        )
        if not any(map(str.isdigit, text)):  # numbers written together are another number
            yield text.replace(" ", "")
            if text != "none":
                yield " ".join(name + "5" for name in text.split())
    if b.match == Match.NOTES:
        yield " ".join(reversed(text.split()))
    if b.match in (Match.CHORD, Match.KEY):
        yield text.replace("𝄪", "x").replace("♭", " flat ")
        yield text.replace("min", "Min").replace("dim", "DIM")


@pytest.mark.parametrize("wanted", MANY)
def test_every_spelling_is_right(wanted):
    seen = set()
    for it in made(wanted):
        for b in it.blanks:
            for text in {b.answer, *b.accept} - {""}:
                if (b.match, text) in seen:
                    continue
                seen.add((b.match, text))
                for typed in variants(b, text):
                    assert judge(it, sheet(it) | {b.id: typed})[b.id] == RIGHT, (b, typed)
    assert {match for match, _ in seen} == set(Match)


@pytest.mark.parametrize(
    "match, typed, answer, accept, outcome",
    [
        (Match.CHORD, "BM", "Bm", ("B minor",), WRONG),
        (Match.CHORD, "bm", "Bm", (), RIGHT),
        (Match.CHORD, "c", "C", ("C major", "CM"), WRONG),
        (Match.CHORD, "Cm", "C", ("CM",), WRONG),
        (Match.CHORD, "c major", "C", ("C major", "CM"), RIGHT),
        (Match.CHORD, "CM7", "Cm7", (), WRONG),
        (Match.CHORD, "Bbb", "B♭", (), WRONG),
        (Match.CHORD, "BB", "B♭", (), RIGHT),
        (Match.CHORD, "c/e", "C/E", (), WRONG),
        (Match.CHORD, "C/e", "C/E", (), RIGHT),
        (Match.CHORD, "Bo", "B°", (), RIGHT),
        (Match.CHORD, "Do", "D°", (), RIGHT),
        (Match.CHORD, "do", "Do", (), WRONG),
        (Match.CHORD, "Dom", "Do", ("DoM",), WRONG),
        (Match.CHORD, "CisM", "Cism", (), WRONG),
        (Match.CHORD, "C^7", "C7", (), WRONG),
        (Match.CHORD, "BØ7", "Bø7", (), RIGHT),
        (Match.CHORD, "Bm7(b5)", "Bm7♭5", (), RIGHT),
        (Match.KEY, "a", "A", ("A major",), WRONG),
        (Match.KEY, "a", "A", ("a", "Am"), RIGHT),
        (Match.KEY, "E flat Major", "E♭ major", ("E♭",), RIGHT),
        (Match.KEY, "AM", "A", ("Am",), WRONG),
        (Match.NUMERAL, "i", "I", (), WRONG),
        (Match.NUMERAL, "Ⅳ", "IV", (), RIGHT),
        (Match.NUMERAL, "VII°6", "vii°6", (), WRONG),
        (Match.NUMERAL, "V⁶₅", "V6/5", ("V65",), RIGHT),
        (Match.NUMERAL, "V65", "V6/5", (), WRONG),
        (Match.NUMERAL, "V⁶⁄₅", "V6/5", (), RIGHT),
        (Match.SYMBOL, "M3", "m3", ("min 3",), WRONG),
        (Match.SYMBOL, "MIN 3", "m3", ("min 3",), RIGHT),
        (Match.SYMBOL, "min. 3", "m3", ("min 3",), RIGHT),
        (Match.SYMBOL, "M. 3", "m3", ("min 3",), WRONG),
        (Match.TEXT, "D.S. al Fine", "DS al Fine", (), RIGHT),
        (Match.TEXT, "15", "1.5", (), WRONG),
        (Match.SYMBOL, "mm7", "maj7", ("MM7",), WRONG),
        (Match.SYMBOL, "MM7", "maj7", ("MM7",), RIGHT),
        (Match.SYMBOL, "M", "minor", ("m",), WRONG),
        (Match.SYMBOL, "o7", "°7", (), RIGHT),
        (Match.SYMBOL, "D5", "d5", (), RIGHT),
        (Match.SYMBOL, "A5", "d5", (), WRONG),
        (Match.NOTE, "Gb", "F♯", (), WRONG),
        (Match.NOTE, "gb3", "F♯", ("G♭",), RIGHT),
        (Match.NOTE, "F", "F♯", (), WRONG),
        (Match.NOTE, "F♮", "F", (), RIGHT),
        (Match.NOTE, "Re", "Ré", (), RIGHT),
        (Match.NOTE, "ok", "OK", ("✓",), RIGHT),
        (Match.NOTE, "✔", "OK", ("✓",), RIGHT),
        (Match.NOTE, "B", "H", (), WRONG),
        (Match.NOTES, "EGC", "C E G", (), RIGHT),
        (Match.NOTES, "GB♭", "G B♭", (), RIGHT),
        (Match.NOTES, "SOL Si RE", "Sol Si Ré", (), RIGHT),
        (Match.NOTES, "C E G C", "C E G", (), WRONG),
        (Match.NOTES, "C E", "C E G", (), WRONG),
        (Match.NOTES, "F #, Ab", "F♯ A♭", (), RIGHT),
        (Match.NOTES, "C4 and E4", "C E", (), RIGHT),
        (Match.NOTES, "F♯ A♯", "G♭ B♭", (), WRONG),
        (Match.IN_ORDER, "C# F#", "F♯ C♯", (), WRONG),
        (Match.IN_ORDER, "f#,c#", "F♯ C♯", (), RIGHT),
        (Match.IN_ORDER, "0", "none", (), RIGHT),
        (Match.IN_ORDER, "–", "none", (), RIGHT),
        (Match.IN_ORDER, "", "none", (), EMPTY),
        (Match.IN_ORDER, "none", "F♯", (), WRONG),
        (Match.TEXT, "Leading Tone", "leading tone", (), RIGHT),
        (Match.TEXT, "half-step", "H", ("half step",), RIGHT),
        (Match.TEXT, "  ", "H", (), EMPTY),
        (Match.TEXT, "1 1/2", "W+H", ("1½",), RIGHT),
        (Match.TEXT, "", "x", ("",), RIGHT),
        (Match.TEXT, "1 3", "13", (), RIGHT),
        (Match.TEXT, "3#", "3♭", ("3 flats", "3b"), WRONG),
    ],
)
def test_decisions(match, typed, answer, accept, outcome):
    # an untouched row is told apart in the test below
    assert one(match, typed, answer, *accept) == outcome


BRITISH = Naming(steps="semitone")


@pytest.mark.parametrize(
    "family, settings, naming, asks, answer, typed",
    [  # common practice, no source
        ("note-names", {}, ENGLISH, "note", None, "{}3|{}6"),
        ("intervals", {"quality": True}, ENGLISH, "interval", "P8", "perfect octave|perf 8"),
        ("intervals", {"quality": True}, ENGLISH, "interval", "M3", "major third|maj3|Maj. 3rd"),
        ("intervals", {}, ENGLISH, "interval", "8", "octave"),
        ("inversions", {}, ENGLISH, "position", "root", "5/3|53|root position"),
        ("inversions", {}, ENGLISH, "position", "1st", "6|6/3|63"),
        ("inversions", {}, ENGLISH, "position", "2nd", "6/4|64|⁶₄"),
        ("seventh-chords", {}, ENGLISH, "position", "3rd", "4/2|42"),
        ("cadences", {}, ENGLISH, "cadence", "half", "HC|half cadence|H.C."),
        ("cadences", {}, BRITISH, "cadence", "imperfect", "HC|half|Imperfect cadence"),
        ("cadences", {}, BRITISH, "cadence", "perfect", "authentic|perfect cadence"),
        ("primary-chords", {}, BRITISH, "numeral", "IV", "IVa|IV"),
        ("inversion-figures", {}, BRITISH, "numeral", "V6", "Vb"),
        ("inversion-figures", {}, BRITISH, "numeral", "I6/4", "Ic|I64"),
        ("inversion-figures", {"sevenths": True}, BRITISH, "numeral", "V4/2", "V7d|V42|V2"),
        ("inversion-figures", {}, ENGLISH, "chord", "B°", "Bo|Bdim|B dim"),
        ("progression", {"numerals": "I V7/V V7 I"}, ENGLISH, "numeral", "V7/V", "V7 of V"),
        ("circle-of-fifths", {}, ENGLISH, "minor", "a", "A minor|A|a minor|Am"),
        ("circle-of-fifths", {}, ENGLISH, "major", "B♭", "Bb|B flat major|Bb major|A#"),
    ],
)
def test_what_a_teacher_accepts(family, settings, naming, asks, answer, typed):
    """Each way to write an answer, in boxes that a family asked."""
    made, tried = FAMILIES[family], set()
    for seed in range(40):
        request = Request(parse_key("C major"), "right", made.asks, 0, 2, settings, naming)
        it = unplaced(made.make(request, Random(seed)))
        for b in it.blanks:
            if b.asks == asks and b.answer == (answer or b.answer):
                for text in typed.replace("{}", b.answer).split("|"):
                    if text != "A#":  # the circle has no key of ten sharps
                        assert judge(it, sheet(it) | {b.id: text})[b.id] == RIGHT, (b, text)
                        tried.add(text)
    assert tried


def test_kinds_of_authentic_cadence():
    """Perfect: V and I in root position, the tonic at the top. Source: Open Music Theory,
    "Classical cadence types"."""
    seen = set()
    for seed in range(60):
        made = FAMILIES["cadences"]
        request = Request(parse_key("C major"), "both", made.asks)
        exercise = made.make(request, Random(seed))
        it = unplaced(exercise)
        for b in it.blanks:
            if b.answer != "authentic":
                continue
            right, left = (staff.events[b.column].pitches for staff in exercise.staves)
            perfect = right[-1].step == left[0].step == 0
            seen.add(perfect)
            for text, good in (("PAC", perfect), ("imperfect authentic", not perfect)):
                found = judge(it, sheet(it) | {b.id: text})[b.id]
                assert found == (RIGHT if good else WRONG), (b, text)
            assert judge(it, sheet(it) | {b.id: "imperfect"})[b.id] == WRONG
    assert seen == {True, False}


@pytest.mark.parametrize("hand", ["right", "left", "both"])
@pytest.mark.parametrize("naming", [ENGLISH, BRITISH])
def test_no_cadence_is_both_perfect_and_imperfect(hand, naming):
    """By the notes on the paper, in one hand, too: V and I with their roots at the bottom, the
    tonic at the top. Source: Open Music Theory, "Classical cadence types"."""
    tried = 0
    for seed in range(25):
        made = FAMILIES["cadences"]
        exercise = made.make(
            Request(parse_key("C major"), hand, made.asks, naming=naming), Random(seed)
        )
        it = unplaced(exercise)
        for b in it.blanks:
            if b.answer != ("perfect" if naming is BRITISH else "authentic"):
                continue
            (_, first), (top, last) = (
                (notes[-1].step, notes[0].step)
                for notes in (
                    sorted(
                        (p for staff in exercise.staves for p in staff.events[column].pitches),
                        key=semitone,
                    )
                    for column in (b.column - 1, b.column)
                )
            )
            perfect = (first, last, top) == (4, 0, 0)
            for text, good in (("perfect authentic", perfect), ("IAC", not perfect)):
                found = judge(it, sheet(it) | {b.id: text})[b.id]
                assert found == (RIGHT if good else WRONG), (exercise.staves, b)
                tried += 1
    assert tried > 10


LETTERS, SIGNS = "ABCDEFG", ("", "#", "b", "##", "bb")


def test_note_names_against_music21():
    """Two names are the same if music21 reads the same step and alteration in them."""
    names = [letter + sign for letter, sign in product(LETTERS, SIGNS)]
    known = {name: Outside(name.replace("b", "-")) for name in names}
    for a, b in product(names, names):
        same = (known[a].step, known[a].alter) == (known[b].step, known[b].alter)
        assert (one(Match.NOTE, a.lower() + "3", b) == RIGHT) == same, (a, b)


def crossings(*versions):
    blanks = tuple(
        blank(Match.CROSSING, answer, place=place, column=place)
        for place, answer in enumerate(versions[0], 1)
    )
    places = tuple(range(1, len(blanks) + 1))
    return item(*blanks, groups=(Group(places, versions),) if len(versions) > 1 else ())


def judged(it, typed):
    return [
        str(found)
        for found in judge(it, {f"1.{place}": text for place, text in enumerate(typed, 1)}).values()
    ]


def test_an_empty_box_is_a_dash_in_the_version_that_has_one():
    it = crossings(("–", "3", "–", "1"), ("–", "–", "4", "1"))
    assert judged(it, ["", "3", "", "1"]) == ["right"] * 4
    assert judged(it, ["-", "", "4", "1"]) == ["right"] * 4
    assert judged(it, ["", "3", "4", "1"]) == ["right", "right", "wrong", "right"]
    assert judged(it, ["", "", "", "1"]) == ["right", "empty", "right", "right"]
    assert judged(it, ["", "", "", ""]) == ["empty"] * 4
    assert judged(crossings(("–", "–")), ["", ""]) == ["right"] * 2


def test_ties_go_to_the_answer():
    blanks = tuple(blank(Match.TEXT, "1", place=place, asks="finger") for place in (1, 2))
    it = item(*blanks, groups=(Group((1, 2), (("1", "1"), ("2", "2"))),))
    assert judged(it, ["1", "2"]) == ["right", "wrong"]
    assert judged(it, ["2", ""]) == ["right", "empty"]
    assert judged(it, ["", ""]) == ["empty", "empty"]


def test_accepted_beside_the_versions():
    blanks = (blank(Match.TEXT, "1", "4", place=1), blank(Match.TEXT, "2", place=2))
    it = item(*blanks, groups=(Group((1, 2), (("1", "2"), ("3", "5"))),))
    assert judged(it, ["4", "2"]) == judged(it, ["4", "5"]) == ["right", "right"]


def test_nothing_typed_is_empty():
    for it in some():
        assert set(judge(it, {}).values()) == {EMPTY}
        assert list(judge(it, {"99.1": "1"})) == [b.id for b in it.blanks]


@pytest.mark.parametrize("match", list(Match))
def test_anything_may_be_typed(match):
    rng = Random(3)
    letters = "abcMmIVo°ø#♭x♮𝄪 -–/,().0123456789²½é\u0301\u0000\ud800\u202e字"
    for _ in range(2000):
        typed = "".join(rng.choices(letters, k=rng.randrange(9)))
        assert one(match, typed, "E♭") in (RIGHT, WRONG, EMPTY)
