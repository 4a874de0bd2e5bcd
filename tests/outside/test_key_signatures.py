"""Key signatures, the circle of fifths and scales to match, against music21 (reading.py)."""

from dataclasses import replace
from functools import cache
from random import Random

import pytest
import reading
from asked import Request
from music21 import key as m21key

from workbook.exercises.families import FAMILIES
from workbook.exercises.families.key_signatures import _ASKED
from workbook.music.keys import parse_key

ORDER = {
    1: [p.name for p in m21key.KeySignature(7).alteredPitches],
    -1: [p.name for p in m21key.KeySignature(-7).alteredPitches],
}
"""F♯ to B♯, B♭ to F♭: the order in which music21 alters notes."""


def theirs(key) -> m21key.Key:
    return m21key.Key(key.tonic.replace("b", "-"), key.mode)


@cache
def home(tonic: str, mode: str) -> m21key.Key:
    return m21key.Key(tonic, mode)


def said(count: int) -> str:
    return f"{abs(count)}{'♯' if count > 0 else '♭'}" if count else "0"


def check(exercise):
    {"circle-of-fifths": check_circle, "scale-matching": check_matching}.get(
        exercise.family, check_signatures
    )(exercise)


def check_signatures(exercise):
    asks = {blank.asks for blank in exercise.blanks}
    {
        "signature": check_written,
        "note": check_order,
        "major": check_named,
        "minor": check_named,
    }.get(min(asks), check_relatives)(exercise)


def check_named(exercise):
    key = theirs(exercise.key)
    assert exercise.signed
    assert exercise.label in ("Treble clef", "Bass clef", "Treble and bass")
    keys = {one.mode: one for one in (key, key.relative)}
    assert len(exercise.blanks) == len({blank.asks for blank in exercise.blanks})
    for blank in exercise.blanks:
        names = [blank.answer, *blank.also]
        tonic = keys[blank.asks].tonic.name
        assert reading.read(blank.answer) == tonic
        for name in names:
            assert reading.read(name.split()[0].rstrip("m")).upper() == tonic
        assert len(names) == (4 if blank.asks == "minor" else 2)


def check_written(exercise):
    key = reading.key(exercise.label)
    assert key == theirs(exercise.key)
    word, mode = exercise.label.split(" and ")[1].split()
    keys = [key, key.parallel if word in ("parallel", "tonic") else reading.key(f"{word} {mode}")]
    assert keys[1].mode == mode and keys[0].sharps != keys[1].sharps
    for staff in exercise.staves:
        signatures = [event.signature for event in staff.events]
        assert [theirs(one) for one in signatures] == keys
        blanks = reading.answers(exercise, "signature", staff.hand)
        assert [blank.column for blank in blanks] == [
            column for column, event in enumerate(staff.events) if event.signature_written
        ]
        assert blanks and blanks[-1].column == 1
        for blank in blanks:
            one = keys[blank.column]
            names = [p.name for p in one.alteredPitches] or ["none"]
            assert [reading.read(name) for name in blank.answer.split()] == names
    assert any(one.sharps for one in keys)


def check_relatives(exercise):
    key = reading.key(exercise.label)
    words = {blank.column: blank.answer for blank in reading.answers(exercise, "word")}
    keys = {0: key}
    for row, word in words.items():
        kind, mode = word.split()
        keys[row] = key.relative if kind == "relative" else key.parallel
        assert keys[row].mode == mode
    assert len(words) == 1 + (abs(key.parallel.sharps) <= 7)
    rows = [blank.column for blank in reading.answers(exercise, "key")]
    assert rows in (sorted(keys), [0])  # the printed key alone, where only counts are asked
    for blank in reading.answers(exercise, "key"):
        assert reading.key(blank.answer) == keys[blank.column]
        assert blank.given or blank.column
    rows = [blank.column for blank in reading.answers(exercise, "count")]
    assert rows in (sorted(keys), []) and not all(blank.given for blank in exercise.blanks)
    for blank in reading.answers(exercise, "count"):
        sharps = keys[blank.column].sharps
        assert blank.answer == said(sharps)
        assert bool(sharps) != ("none" in blank.also)
        assert all(
            other[0] == str(abs(sharps))
            and other[1:].strip()[0] == "bf#s"[2 * (sharps > 0) + other.count(" ")]
            for other in blank.also
            if sharps
        )


def check_order(exercise):
    key = theirs(exercise.key)
    answers = [reading.read(blank.answer) for blank in exercise.blanks]
    if key.sharps:
        assert answers == [p.name for p in key.alteredPitches]
        assert reading.key(exercise.label.split(" of ")[1]) == key
    assert answers == ORDER[-1 if "flat" in exercise.label else 1][: len(answers)]


def tonic(printed):
    """The tonic of a key of the circle: minor keys have a small letter, or an m."""
    name = reading.read(printed.removesuffix("m"))
    return name[0].upper() + name[1:]


def check_circle(exercise):
    """Each ring rises by a fifth, spelled as one but at a single seam; the two keys of a
    place are relatives; every other answer accepted is the same key respelled."""
    rings = {
        asks: {
            blank.column: home(tonic(blank.answer), asks)
            for blank in reading.answers(exercise, asks)
        }
        for asks in {blank.asks for blank in exercise.blanks}
    }
    for ring in rings.values():
        if len(ring) == 12:
            up = [ring[place].tonic.transpose("P5").name for place in range(12)]
            seams = [place for place in range(12) if up[place] != ring[(place + 1) % 12].tonic.name]
            assert len(seams) == 1 and 4 <= seams[0] <= 7, (exercise.prompt, seams)
    for place in set.intersection(*map(set, rings.values())) if len(rings) == 2 else ():
        assert rings["major"][place].relative == rings["minor"][place], (exercise.prompt, place)
    for asks in {blank.asks for blank in exercise.blanks}:
        ring = reading.answers(exercise, asks)
        if not all(blank.given for blank in ring):
            assert [blank.column for blank in ring] == list(range(12))
        for blank in ring:
            key = home(tonic(blank.answer), asks)
            assert key.sharps % 12 == blank.column and abs(key.sharps) <= 7
            names = {name.removesuffix(f" {asks}").rstrip("m") for name in blank.also}
            spellings = {reading.read(name).capitalize() for name in names}
            for name in spellings:
                other = home(name, asks)
                assert abs(other.sharps) <= 7 and other.sharps % 12 == blank.column
            others = {
                name
                for name in (key.tonic.getEnharmonic().name,)
                if abs(home(name, asks).sharps) <= 7
            }
            assert others - {key.tonic.name} <= spellings
            assert len(spellings | {key.tonic.name}) == 1 + (blank.column in (5, 6, 7))
        given = {blank.column: blank.answer for blank in ring if blank.given}
        if asks == exercise.key.mode:
            place = theirs(exercise.key).sharps % 12
            assert tonic(given[place]) == theirs(exercise.key).tonic.name
            assert given[place] != tonic(given[place]) or asks == "major"
        assert given


def check_matching(exercise):
    """The scale of each line is that of the key with the answer's letter, and of no other.

    Its first note alone does not tell: all scales begin with it, and all keys of the list have
    it; or all begin on their tonics, and two keys of the list have each tonic.
    """
    _, _, form = exercise.label.rstrip(")").partition(" (minor: ")
    keys = {str(n): reading.key(name) for n, name in enumerate(exercise.choices, 1)}
    assert len(set(keys.values())) == len(keys) == 4
    assert len(exercise.blanks) == 4 - (exercise.hand == "both")
    tonics = [key.tonic.name for key in keys.values()]
    firsts = {reading.theirs(blank.of[0]).name for blank in exercise.blanks}
    assert theirs(exercise.key) in [keys[blank.answer] for blank in exercise.blanks]
    scales = {
        letter: [
            p.name for p in reading.scale(key.tonic.name, form if key.mode == "minor" else "major")
        ]
        for letter, key in keys.items()
    }
    if len(firsts) == 1:
        assert all(firsts <= set(scale) for scale in scales.values())
    else:
        assert all(tonics.count(name) == 2 for name in firsts)
    lines = []
    for staff in exercise.staves:
        lines.append([])
        run = []
        for event in staff.events:
            run += [reading.theirs(p).name for p in event.pitches]
            if event.after:
                lines[-1].append(run)
                run = []
        assert not run
    assert all(one == lines[0] for one in lines)
    for blank, run in zip(exercise.blanks, lines[0], strict=True):
        assert [reading.theirs(p).name for p in blank.of] == run and len(run) == 8
        assert [blank.answer] == [
            letter for letter, scale in scales.items() if set(run) == set(scale)
        ], exercise.label
        assert run in [scales[blank.answer][i : i + 8] for i in range(7)]


@pytest.mark.parametrize("seeds", [1, pytest.param(2, marks=pytest.mark.sweep)])
@pytest.mark.parametrize("task", ["name", "write", "relatives", "order"])
def test_key_signatures(task, seeds):
    for exercise in reading.sample("key-signatures", seeds=seeds, task=task):
        assert {blank.asks for blank in exercise.blanks} - {"word"} == {
            kind.name for kind in _ASKED[task]
        }
        check(exercise)


def test_both_orders_come_for_the_key_without_signs():
    keys = [key for key in reading.ALL_KEYS if not key.fifths]
    found = {e.blanks[0].answer for e in reading.sample("key-signatures", 8, keys, task="order")}
    assert found == {"F♯", "B♭"}


def test_circle_of_fifths():
    for exercise in reading.sample("circle-of-fifths"):
        assert len(exercise.blanks) == 24
        check(exercise)


def test_one_ring_has_the_keys_own_place_given():
    for exercise in reading.sample("circle-of-fifths", ask=("minor",)):
        check(exercise)
        asked = [blank for blank in exercise.blanks if not blank.given]
        assert {blank.asks for blank in asked} == {"minor"} and len(asked) == 11
        (own,) = [b for b in exercise.blanks if b.asks == exercise.key.mode and b.given]
        assert tonic(own.answer) == theirs(exercise.key).tonic.name


def test_scales_match_one_key_each():
    for exercise in reading.sample("scale-matching", keys=reading.SOME_KEYS):
        check(exercise)


def test_a_scale_may_begin_on_any_degree():
    firsts = set()
    for minor in ("natural", "harmonic", "melodic"):
        for exercise in reading.sample(
            "scale-matching", keys=reading.SOME_KEYS, start="any", minor=minor
        ):
            check(exercise)
            keys = {
                str(n): reading.key(name).tonic.name for n, name in enumerate(exercise.choices, 1)
            }
            firsts |= {keys[b.answer] == reading.theirs(b.of[0]).name for b in exercise.blanks}
    assert firsts == {True, False}


def test_what_is_given_is_printed_and_not_asked():
    kind = FAMILIES["key-signatures"]
    request = Request(parse_key("E major"), "both", kind.asks, 1, 2, {"task": "write"})
    exercise = kind.make(request, Random(1))
    for staff in exercise.staves:
        assert [event.signature_written for event in staff.events] == [False, True]
        assert [b.column for b in exercise.blanks if b.hand == staff.hand] == [1]
    exercise = kind.make(replace(request, settings={"task": "relatives"}), Random(1))
    check_relatives(
        replace(
            exercise,
            blanks=tuple(b._replace(given=False) if b.column else b for b in exercise.blanks),
        )
    )
    assert [
        sum(b.given for b in reading.answers(exercise, asks)) for asks in ("word", "key", "count")
    ] == [2, 2, 1]
