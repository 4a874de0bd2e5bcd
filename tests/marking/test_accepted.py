"""What else is accepted, as it is told to whoever marks: all of it, and nothing more."""

import re
from itertools import product
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS, Blank
from workbook.exercises.telling import PLAIN, joined
from workbook.fingering.conventions import stretch, traditional
from workbook.marking.accepted import PLAYED, box_rows, others
from workbook.marking.spellings import others_spelled, spellings
from workbook.music.keys import parse_key

KEYS = [
    parse_key(name)
    for name in (
        "C# major",
        "Ab minor",
        "F# minor",
        "Eb major",
        "Bb major",
        "B minor",
        "Gb major",
        "A minor",
    )
]


def exercises(name):
    family = FAMILIES[name]
    for values in product(*map(tuple, family.settings.values())):
        settings = dict(zip(family.settings, values))
        for number, key in enumerate(KEYS):
            hand = HANDS[number % 3] if family.by else "right"
            if not family.problem(settings, key, hand):
                yield family.make(
                    Request(key, hand, family.asks, number // 3, 2, settings), Random(number)
                )


def spelled(blank):
    return "; ".join(f"{line.printed} as {line.others}" for line in others_spelled([blank]))


def told(row):
    """The accepted fingers of each note of a row, read from its line."""
    text, found = others(row).replace("\u00a0", " "), {}

    def take(column, note, digits):
        found.setdefault((column, note), set()).update(digits)

    for start, digits in re.findall(r"or (?:notes (\d+)–\d+: )?([\d–](?: [\d–])+)", text):
        columns = [blank.column for blank in row]
        first = columns.index(int(start) - 1) if start else 0
        for column, digit in zip(columns[first:], digits.split(" ")):
            take(column, 0, [digit])
    for places, said in re.findall(
        r"(?:note|chord)s? (\d+(?:, \d+)*): ([\d–](?:-\d)*(?: or [\d–](?:-\d)*)*)", text
    ):
        for place, one in product(places.split(", "), said.split(" or ")):
            for note, digit in enumerate(one.split("-")):
                take(int(place) - 1, note, [digit])
    return found


def numerals(answer, apart, rules):
    """All that the line and the rules of the key let pass for a numeral."""
    found = {answer, *re.findall(r": (\S+)", apart.replace("\u00a0", " "))}
    if "2 alone" in rules:
        found |= {name.replace("4/2", "2") for name in found}
    if "figures in one line" in rules:
        found |= {re.sub(r"(?<=\d)/(?=\d)", "", name) for name in found}
    if "of for the slash" in rules:
        found |= {re.sub(r"/(?=[IViv])", " of ", name) for name in found}
    if "o for °" in rules:
        found |= {name.replace("°", "o") for name in found}
    return found


@pytest.mark.parametrize("name", FAMILIES)
def test_every_accepted_answer_is_told(name):
    for exercise in exercises(name):
        for (asks, _), row in box_rows(exercise.asked).items():
            found = told(row) if asks in PLAYED else {}
            for blank in row:
                if asks in PLAYED:
                    here = found.get((blank.column, blank.note or 0), set())
                    assert here - {blank.answer} == {*filter(None, blank.also)}, exercise.label
                    assert "" not in blank.also or "– as an empty box" in spelled(blank)
                    continue
                text = f"{others(row)}; {spelled(blank)}".replace("\u00a0", " ")
                words = re.split(r" as |, |; |: | for |also ", text)
                for other in blank.also:
                    typed = other.replace("#", "♯").replace("b", "♭")
                    if asks == "chord" and f"with its bass: {other}" in text:
                        continue
                    if asks == "chord" and typed != blank.answer:
                        assert other.replace(" ", "") == blank.answer or any(
                            other.replace(" ", "").endswith(word.replace(" ", ""))
                            for word in words
                            if word
                        ), (other, text)
                        continue
                    if asks == "harmony":  # told as rows of the whole melody
                        rows = re.split(r",? ?or ", text.split(";")[0])
                        here = {one.split()[row.index(blank)] for one in rows if one}
                        spells = other == "V" and "V, if the melody has no seventh of it" in text
                        assert spells or other in {
                            *here,
                            *(name.removesuffix("7") for name in here),
                        }
                        continue
                    if name == "whole-tone":  # told as whole scales
                        rows = re.split(r",? ?or ", text.split(";")[0])
                        place = row.index(blank)
                        assert other in {one.split()[place] for one in rows if one}, (other, text)
                        continue
                    if asks == "interval":
                        kind, number = re.fullmatch(r"(.*?) ?(\d+\D*|[a-z]+)", other).groups()
                        own, digits = re.fullmatch(r"(\D*)(\d+)", blank.answer).groups()
                        assert kind in (own, *words) and number in (digits, *words)
                        continue
                    if asks in ("meaning", "term", "sign"):
                        told_as = f"{text.split(f'{blank.answer} as ')[1]}; "
                        assert f"{other}, " in told_as or f"{other}; " in told_as
                        continue
                    if asks == "minor":  # the example shows it of one of the two names
                        other = other.removesuffix(" minor").rstrip("m").capitalize()
                    if asks == "cadence":
                        assert (
                            other == other.removesuffix(" cadence")
                            or "with the word cadence after it" in text
                        )
                        other = other.removesuffix(" cadence")
                    if asks in ("major", "minor"):
                        other = other.removesuffix(f" {asks}")
                    assert (
                        other in (*words, blank.answer)
                        or asks == "repair"
                        or asks == "numeral"
                        or ("♯ ♭ as # b" in text and typed == blank.answer)
                    ), (other, text)
                if asks == "numeral" and blank.also:
                    assert numerals(blank.answer, others([blank]), spelled(blank)) == {
                        blank.answer,
                        *blank.also,
                    }


@pytest.mark.parametrize(
    "form, hand", [*product(("major", "natural", "harmonic", "melodic"), ("right", "left"))]
)
def test_a_row_is_a_fingering_of_the_table(form, hand):
    table, seen = traditional(), 0
    for key in KEYS:
        if key.minor == (form == "major"):
            continue
        exercise = FAMILIES["scale-fingering"].make(
            Request(key, hand, ("finger",), settings={"forms": form}), Random(1)
        )
        ups, downs = (
            {stretch(v, hand, 1, 7) for v in table.versions(("scale", key, f), hand)}
            for f in (form, "natural" if form == "melodic" else form)
        )
        for version in zip(*(blank.versions for blank in exercise.blanks)):
            digits = "".join(version)
            seen += 1
            assert digits[:8] in ups and digits[:7:-1] in {d[:7] for d in downs}
            assert form == "melodic" or digits == digits[::-1]
        answers = [blank.answer for blank in exercise.blanks]
        for line in re.findall(r"or ((?:\d ){14}\d)", others(exercise.blanks)):
            assert line.split() != answers and line.replace(" ", "")[:8] in ups
    assert seen > len(KEYS) // 2


def run(*versions):
    return [
        Blank(
            "finger",
            "right",
            column,
            None,
            (),
            digits[0],
            tuple(dict.fromkeys(d for d in digits if d != digits[0])),
            versions=digits,
        )
        for column, digits in enumerate(zip(*versions))
    ]


def test_semicolons_stand_between_texts_with_commas():
    assert joined(["slow", "very slow"]) == "slow, very slow"
    assert joined(["slow, broad", "very slow"]) == "slow, broad; very slow"
    (spelled,) = (one for one in PLAIN.spelled("held back", ["slower, held back", "holding back"]))
    assert next(PLAIN.examples(*spelled))[2] == "slower, held back; holding back"
    assert others(run("41231", "31231", "42121", "12121")).replace("\u00a0", " ") == (
        "also note 1: 3; notes 2, 4: 2; note 3: 1; or 1 2 1 2 1"
    )


def test_words():
    assert others(run("12345", "12345")) == ""
    assert others(run("31231", "21232")).replace("\u00a0", " ") == "also notes 1, 5: 2"
    assert others(run("34123", "23131")) == "or 2 3 1 3 1"
    assert others(run("4123123", "2312123")) == "or notes 1–4: 2 3 1 2"
    assert others(run("3123121", "2123121", "1212343")).replace("\u00a0", " ") == (
        "also note 1: 2, or 1 2 1 2 3 4 3"
    )
    stack = [
        blank._replace(column=column, note=note)
        for column in (0, 2)
        for note, blank in enumerate(run("125", "135", "124"))
    ]
    assert others(stack).replace("\u00a0", " ") == "also chords 1, 3: 1-3-5 or 1-2-4"


def told_of(*rows):
    return [line[2:] for line in spellings(one for row in rows for one in others_spelled(row))]


def test_spellings_are_told_once():
    chords = [
        Blank("chord", "right", 0, None, (), f"{root}m", (f"{root} minor", f"{root}-"))
        for root in ("C", "F♯", "B♭")
    ]
    chords[1] = chords[1]._replace(also=("F#m", *chords[1].also))
    minor, signs = ("Cm", "C minor, C-"), ("♯ ♭", "# b")
    assert told_of(chords[:1]) == [minor]
    assert told_of(chords[:1], chords, chords) == [minor, signs]
    bare = [blank._replace(also=()) for blank in chords]
    assert told_of(bare[:1], bare) == [signs]


def test_every_numeral_sort_is_told_with_an_example():
    others = ("V65/V", "V6/5 of V", "V65 of V", "V7b/V")
    numeral = Blank("numeral", "right", 0, None, (), "V6/5/V", others)
    low = Blank("numeral", "right", 1, None, (), "vii°4/2", ("vii°42", "vii°2", "viio4/2"))
    assert told_of([numeral, low]) == [
        ("V6/5/V", "figures in one line: V65/V"),
        ("V6/5/V", "of for the slash: V6/5 of V"),
        ("V6/5/V", "a, b, c or d for the inversion: V7b/V"),
        ("vii°4/2", "2 alone: vii°2"),
        ("vii°4/2", "o for °: viio4/2"),
    ]


def test_what_is_given_decides_for_a_fingering():
    """No alternative is left that another finger in a printed box would spoil."""
    for seed in range(12):
        exercise = FAMILIES["scale-fingering"].make(
            Request(parse_key("Bb minor"), "right", ("finger",), 3), Random(seed)
        )
        for version in zip(*(blank.versions for blank in exercise.blanks), strict=True):
            assert all(
                digit == blank.answer
                for digit, blank in zip(version, exercise.blanks)
                if blank.given
            )
