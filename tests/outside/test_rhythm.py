"""Rhythms as music21 reads them: lengths of bars, counts, beams, kinds of time.

Source: music21's ``duration`` (lengths and ratios), ``meter.TimeSignature`` (lengths of bars,
beats, classification, beams). Names of note values: music21's duration types, and for the
British ones the table below, from memory. ``check`` is that of all families of rhythm.
"""

import re
from fractions import Fraction

import pytest
import reading
from music21 import duration, meter, note, stream

from workbook.music.pitch import scientific

TYPES = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "16th"}
NAMES = {"whole": 1, "half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16}
BRITISH = {
    "whole": "semibreve",
    "half": "minim",
    "quarter": "crotchet",
    "eighth": "quaver",
    "sixteenth": "semiquaver",
}


def lasts(event) -> duration.Duration:
    """An event's duration, by its printed value alone."""
    return duration.Duration(type=TYPES[event.value.rstrip(".")], dots=event.value.count("."))


def named(text: str) -> tuple[float, bool]:
    """The length in quarters that a name such as "dotted half rest" means, and whether it is
    a rest."""
    words = text.split()
    dots = {"dotted": 1, "double": 2}.get(words[0], 0)
    (base,) = [NAMES[word] for word in words if word in NAMES]
    kind = TYPES[str(base)]
    return duration.Duration(type=kind, dots=dots).quarterLength, words[-1] == "rest"


def measures(exercise) -> list[list[tuple[int, object]]]:
    """The columns of each bar with their events; every note is on the line, and no other."""
    (staff,) = exercise.staves
    assert staff.lines == 1 and staff.stems
    found = [[]]
    for column, event in enumerate(staff.events):
        assert event.rest == (not event.pitches)
        assert [scientific(p) for p in event.pitches] in ([], ["B4"])
        found[-1].append((column, event))
        if event.after:
            found.append([])
    assert not found.pop()
    return found


def heard(bar) -> stream.Measure:
    """A bar as music21's measure."""
    found = stream.Measure()
    for _, event in bar:
        kind = note.Rest if event.rest else note.Note
        found.append(kind(duration=lasts(event)))
    return found


def full(bar, time: str) -> stream.Measure:
    """The measure of a bar, which is exactly as long as its time says."""
    made, signature = heard(bar), meter.TimeSignature(time)
    assert made.duration.quarterLength == signature.barDuration.quarterLength
    made.insert(0, signature)
    return made


def joined(bar) -> list[list[int]]:
    """The indices of the notes under each printed beam."""
    found, inside = [], False
    for index, (_, event) in enumerate(bar):
        if event.beam == "[":
            assert not inside
            found.append([])
        inside = inside or event.beam == "["
        if inside:
            assert not event.rest and event.value[0] in "81" and event.value not in ("1", "1.")
            found[-1].append(index)
        if event.beam == "]":
            assert inside
            inside = False
    assert not inside
    return found


def theirs(bar, time: str) -> list[list[int]]:
    """The indices under each beam of music21's own beaming."""
    made = full(bar, time)
    found = []
    beams = meter.TimeSignature(time).getBeams(list(made.notesAndRests), measureStartOffset=0.0)
    for index, beam in enumerate(beams):
        if beam and beam.beamsList:
            kind = beam.beamsList[0].type
            if kind == "start":
                found.append([])
            if kind != "partial":
                found[-1].append(index)
    return found


def by_beat(bar, time: str) -> bool:
    """Whether no beam leaves its beat, which is music21's, and all that a beat can join is."""
    signature, made = meter.TimeSignature(time), heard(bar)
    beat = signature.beatDuration.quarterLength
    if time == "3/8":
        beat = 1.5
    at = [Fraction(one.offset).limit_denominator(48) for one in made.notesAndRests]
    for group in joined(bar):
        assert len({at[index] // Fraction(beat) for index in group}) == 1
    return True


def beatwise(bar, time: str) -> bool:
    """Whether what begins within a beat of music21 ends there."""
    beat = Fraction(meter.TimeSignature(time).beatDuration.quarterLength)
    sounds = [
        (Fraction(one.offset).limit_denominator(48), Fraction(one.quarterLength))
        for one in heard(bar).notesAndRests
    ]
    return all(at % beat == 0 or at + long <= (at // beat + 1) * beat for at, long in sounds)


def signature(exercise) -> str:
    return exercise.staves[0].events[0].time


def asked(exercise, asks: str) -> dict:
    """The blanks by column, none of them twice."""
    found = {blank.column: blank for blank in exercise.blanks if blank.asks == asks}
    assert len(found) == len(exercise.blanks) or asks in ("time", "metre")
    return found


def check_counting(exercise) -> None:
    time = signature(exercise)
    assert exercise.label == f"Count in {time}"
    blanks = asked(exercise, "beat")
    compound = meter.TimeSignature(time).beatDivisionCount == 3
    for bar in measures(exercise):
        made = full(bar, time)
        assert joined(bar) == theirs(bar, time)
        for (column, _), one in zip(bar, made.notesAndRests, strict=True):
            place = 2 * one.offset + 1 if compound else one.beat
            number, part = divmod(place, 1)
            wanted = {0: str(int(number)), 0.25: "e", 0.5: "&", 0.75: "a"}[part]
            assert blanks.pop(column).answer == wanted
    assert not blanks


def check_values(exercise) -> None:
    (staff,) = exercise.staves
    measures(exercise)
    unit = re.search(r"How many (\w+) note", exercise.task)
    for blank in exercise.blanks:
        event = staff.events[blank.column]
        length = lasts(event).quarterLength
        if event.tied:
            length += lasts(staff.events[blank.column + 1]).quarterLength
            assert not staff.events[blank.column + 1].tied
        if blank.asks == "called":
            assert named(blank.answer) == (length, event.rest)
            continue
        wanted = Fraction(length) / Fraction(4, NAMES[unit[1]])
        text = blank.answer
        value = sum({"¼": 0.25, "½": 0.5, "¾": 0.75}.get(c, 0) for c in text)
        whole = re.match(r"\d+(?!/|\d)", text)
        if "/" in text:
            *apart, part = text.split(" ")
            assert Fraction(part) + sum(map(int, apart)) == wanted
        else:
            assert value + (int(whole[0]) if whole else 0) == wanted


def check_times(exercise) -> None:
    bars = measures(exercise)
    for asks in {blank.asks for blank in exercise.blanks}:
        blanks = asked(exercise, asks)
        for bar in bars:
            blank = blanks.pop(bar[0][0])
            fitting = [
                time
                for time in ("2/4", "3/4", "4/4", "6/8", "9/8", "12/8")
                if meter.TimeSignature(time).barDuration.quarterLength
                == heard(bar).duration.quarterLength
                and theirs(bar, time) == joined(bar)
            ]
            printed = bar[0][1].time
            assert bool(printed) == ("time" not in {blank.asks for blank in exercise.blanks})
            if printed:
                assert printed in fitting
                fitting = [printed]
            else:
                listed = re.findall(r"\d+/\d", exercise.task)
                assert blank.answer in listed if asks == "time" else set(fitting) & set(listed)
                fitting = [time for time in fitting if time in listed and beatwise(bar, time)]
                assert len(fitting) == 1
            kinds = {time: meter.TimeSignature(time).classification.lower() for time in fitting}
            if asks == "time":
                assert blank.answer in fitting
            else:
                assert blank.answer in kinds.values()
        assert not blanks


def check_completion(exercise) -> None:
    time = signature(exercise)
    blanks = asked(exercise, "value")
    for bar in measures(exercise):
        full(bar, time)
        assert by_beat(bar, time)
        written = [(column, event) for column, event in bar if event.pen]
        assert len(written) <= 1
        for column, event in written:
            answer = named(blanks.pop(column).answer)
            assert answer == (lasts(event).quarterLength, event.rest) and not event.beam
            rest = meter.TimeSignature(time).barDuration.quarterLength - sum(
                lasts(e).quarterLength for c, e in bar if c != column
            )
            assert answer[0] == rest and ("one rest" in exercise.task) == event.rest
    assert not blanks


def check_bar_lines(exercise) -> None:
    time = signature(exercise)
    (blank,) = exercise.blanks
    ends, bars = [], measures(exercise)
    for bar in bars:
        full(bar, time)
        assert joined(bar) == theirs(bar, time)
        ends.append(bar[-1][0] + 1)
    assert blank.answer == " ".join(map(str, ends[:-1])) and blank.column == 0
    assert [e.pen_bar for _, e in (bar[-1] for bar in bars)] == [True] * (len(bars) - 1) + [False]


def halves(exercise):
    """The bars of the first line, with its time, and those of the second with its own."""
    (staff,) = exercise.staves
    (middle,) = [c for c, event in enumerate(staff.events) if event.after == "break"]
    bars = measures(exercise)
    first = [bar for bar in bars if bar[0][0] <= middle]
    return (staff.events[0].time, first), (staff.events[middle + 1].time, bars[len(first) :])


def check_copying(exercise) -> None:
    (time, first), (other, second) = halves(exercise)
    assert exercise.label == f"From {time} into {other}"
    factor = 2 if "doubled" in exercise.task else 0.5
    blanks = asked(exercise, "value")
    for old, new in zip(first, second, strict=True):
        full(old, time), full(new, other)
        for (_, one), (column, copy) in zip(old, new, strict=True):
            assert lasts(copy).quarterLength == factor * lasts(one).quarterLength
            assert copy.rest == one.rest and copy.pen == (column in blanks)
            if copy.pen:
                answer = named(blanks.pop(column).answer)
                assert answer == (lasts(copy).quarterLength, copy.rest)
        assert by_beat(new, other)
    assert not blanks


def check_beaming(exercise) -> None:
    (time, first), (again, second) = halves(exercise)
    assert time == again
    blanks = asked(exercise, "beams")
    for old, new in zip(first, second, strict=True):
        assert [(e.value, e.rest) for _, e in old] == [(e.value, e.rest) for _, e in new]
        full(new, time)
        right = joined(new)
        assert right == theirs(new, time) != joined(old)
        assert all(event.pen == (new[0][0] in blanks) for _, event in new)
        if new[0][0] in blanks:
            wanted = " ".join(str(len(group)) for group in right)
            assert blanks.pop(new[0][0]).answer == wanted
    assert not blanks


def check_ties(exercise) -> None:
    """Two tied notes last as long as the one beside them."""
    blanks = asked(exercise, "value")
    bars = measures(exercise)
    joined = "one note" in exercise.task
    for first, second in zip(bars[::2], bars[1::2], strict=True):
        pair, one = (first, second) if joined else (second, first)
        assert [event.tied for _, event in pair] == [True, False] and len(one) == 1
        total = sum(lasts(event).quarterLength for _, event in pair)
        assert total == lasts(one[0][1]).quarterLength
        assert lasts(pair[0][1]).quarterLength >= lasts(pair[1][1]).quarterLength
        if not joined:
            assert pair[0][1].value + "." == one[0][1].value
        assert not any(event.pen for _, event in first)
        for column, event in second:
            assert event.pen == (column in blanks)
            if event.pen:
                assert named(blanks.pop(column).answer) == (lasts(event).quarterLength, False)
    assert not blanks


CHECKS = {
    "counting": check_counting,
    "note-values": check_values,
    "time-signatures": check_times,
    "bar-completion": check_completion,
    "bar-lines": check_bar_lines,
    "rhythm-copying": check_copying,
    "beaming": check_beaming,
    "ties": check_ties,
}


def check(exercise) -> None:
    CHECKS[exercise.family](exercise)


def test_a_kind_of_time_alone_has_its_signature_printed():
    for exercise in reading.sample(
        "time-signatures", seeds=2, keys=reading.ALL_KEYS[:1], ask=("metre",)
    ):
        check_times(exercise)
        assert not re.search(r"\d/\d", exercise.task)


@pytest.mark.parametrize("seeds", [3, pytest.param(6, marks=pytest.mark.sweep)])
def test_rhythms(seeds):
    for family in CHECKS:
        for exercise in reading.sample(family, seeds=seeds, keys=reading.ALL_KEYS[:1]):
            check(exercise)
