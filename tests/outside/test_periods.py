"""Periods, against music21: lengths of bars, beams, and the chords at the end of each phrase.

Source: music21's ``meter`` and ``duration`` (through test_rhythm.py), and its Roman numerals. A
phrase ends with a half cadence if its last note belongs to V and to neither I nor IV, or its
bass is the root of V; with an authentic one if it ends on I after V. What is parallel is told
from the notes alone (Open Music Theory, from memory).
"""

from functools import cache

from music21 import roman as m21roman
from reading import answers, sample, theirs, theirs_key
from test_chord_tones import in_key
from test_rhythm import by_beat, full, lasts

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import Event
from workbook.exercises.rhythms import LINE
from workbook.music.keys import ALL_KEYS

SIGNED = {"quarters": "124", "eighths": "1248", "dotted": "1248"}


@cache
def tones(numeral: str, tonic: str, mode: str) -> tuple[str, ...]:
    figure = numeral.lower() if mode == "minor" and numeral in ("I", "IV") else numeral
    found = m21roman.RomanNumeral(figure, f"{tonic.lower() if mode == 'minor' else tonic}")
    return tuple(p.name for p in found.pitches)


def measures(staff) -> list[list[tuple[int, object]]]:
    found = [[]]
    for column, event in enumerate(staff.events):
        found[-1].append((column, event))
        if event.after:
            found.append([])
    assert not found.pop()
    return found


@cache
def triads(tonic: str, mode: str) -> dict[str, tuple[str, ...]]:
    """The chords that may stand over a bass, by their roots."""
    numerals = ("I", "IV", "V", "VI") if mode == "minor" else ("I", "ii", "IV", "V", "vi")
    found = [tones(numeral, tonic, mode) for numeral in numerals]
    return {one[0]: one for one in found}


@cache
def check_rhythm(bar: tuple[tuple[str, str], ...], time: str) -> None:
    """A bar of values and beams is exactly as long as its time says, and its beams keep to it."""
    events = [(0, Event((LINE,), "treble", value, beam=beam)) for value, beam in bar]
    full(events, time)
    assert by_beat(events, time)


def printed(bar) -> list[tuple[str, tuple]]:
    return [(event.value, event.pitches) for _, event in bar]


def close(key, line, bass) -> str:
    """The cadence of a phrase by its last notes and those of the bass, if there is one."""
    one, four, five = (tones(numeral, *key) for numeral in ("I", "IV", "V"))
    before, last = (p.name for p in line[-2:])
    if bass:
        assert bass[-2:] == [five[0], one[0]] or bass[-1] == five[0]
        if bass[-1] == five[0]:
            assert last in five and bass[-2] != five[0]
            return "HC"
        return "PAC" if last == one[0] else "IAC"
    if last in five and last not in (*one, *four):
        return "HC"
    assert last == one[0] and before in five and before not in four
    return "PAC"


def check(exercise):
    """Two phrases of four full bars; how they end, what they have in common, which is which."""
    upper = exercise.staves[0]
    bars, time = measures(upper), upper.events[0].time
    key, own = theirs_key(exercise), exercise.settings
    assert len(bars) == 8 and {len(s.events) for s in exercise.staves} == {len(upper.events)}
    assert [event.after for event in (bar[-1][1] for bar in bars)] == (
        ["|", "|", "|", "break", "|", "|", "|", "|."]
    )
    for bar in bars:
        check_rhythm(tuple((event.value, event.beam) for _, event in bar), time)
        assert {event.value[0] for _, event in bar} <= set(
            SIGNED[own["values"]] if own["metre"] == "simple" else "1248"
        )
    lines = [bars[:4], bars[4:]]
    basses = [None, None]
    if exercise.hand == "both":
        basses = [bass_of(line, exercise.staves[1], time, key) for line in lines]
    melodies = [[theirs(e.pitches[0]) for bar in line for _, e in bar] for line in lines]
    for melody in melodies:
        in_key(exercise, melody)
    closes = [close(key, *pair) for pair in zip(melodies, basses, strict=True)]
    (last,) = [n for n, found in enumerate(closes) if found == "PAC"]
    assert last == 1 or own["order"] == "either"
    by_column = {
        asks: {blank.column: blank for blank in answers(exercise, asks)}
        for asks in ("phrase", "cadence", "match", "period")
    }
    asked = {blank.asks for blank in exercise.blanks}
    short = own["kinds"] == "PAC IAC HC"
    words = {"PAC": "authentic", "IAC": "authentic", "HC": "half"}
    for number, line in enumerate(lines):
        first, end = line[0][0][0], line[-1][-1][0]
        if "phrase" in asked:
            blank = by_column["phrase"].pop(first)
            assert [theirs(p) for p in blank.of] == melodies[number]
            assert blank.answer == ("answer" if number == last else "question")
        found = closes[number]
        if "cadence" in asked:
            assert by_column["cadence"].pop(end).answer == (found if short else words[found])
        assert short or found != "IAC"
    for bar in bars[4:7]:
        same = [n for n, other in enumerate(bars[:4], 1) if printed(other) == printed(bar)]
        wanted = str(same[0]) if same else "new"
        assert len(same) < 2
        if "match" in asked:
            assert by_column["match"].pop(bar[0][0]).answer == wanted
    assert printed(bars[7]) != printed(bars[3])
    alike = printed(bars[0]) == printed(bars[4])
    if "period" in asked:
        blank = by_column["period"].pop(len(upper.events) - 1)
        assert blank.answer == ("parallel" if alike else "contrasting")
    assert alike or own["period"] == "either"
    assert not any(by_column.values())


def bass_of(line, staff, time, key) -> list[str]:
    """The bass under a line: each bar is full, and its notes begin with notes of the melody that
    belong to the chords on them.
    """
    found = []
    for bar in line:
        under = [staff.events[column] for column, _ in bar]
        assert under[0].pitches and under[-1].after == bar[-1][1].after
        check_rhythm(tuple((event.value, "") for event in under if event.pitches), time)
        for (_, over), event in zip(bar, under, strict=True):
            if event.pitches:
                (low,) = event.pitches
                assert theirs(low).ps < theirs(over.pitches[0]).ps
                found.append(theirs(low).name)
                assert theirs(over.pitches[0]).name in triads(*key)[found[-1]]
        at = [sum(lengths(bar)[:n]) for n in range(len(bar))]
        below = [n for n, event in enumerate(under) if event.pitches]
        spans = lengths([(0, under[n]) for n in below])
        assert [at[n] for n in below] == [sum(spans[:n]) for n in range(len(spans))]
    return found


def lengths(bar) -> list[float]:
    return [quarters(event.value) for _, event in bar]


@cache
def quarters(value: str) -> float:
    return lasts(Event((LINE,), "treble", value)).quarterLength


def test_periods():
    kinds = set()
    for exercise in sample("periods", 1, ALL_KEYS[::7]):
        check(exercise)
        kinds |= {blank.answer for blank in exercise.blanks}
    assert kinds == {
        *("question", "answer", "parallel", "contrasting", "half", "authentic"),
        *("PAC", "IAC", "HC", "1", "2", "new"),
    }


def test_an_answer_may_be_printed_first():
    plain = {"period": "parallel", "kinds": "authentic and half", "values": "quarters"}
    plain |= {"metre": "simple"}
    found = {
        answers(exercise, "phrase")[0].answer
        for exercise in sample("periods", 5, ALL_KEYS[:1], **plain, order="either")
    }
    assert found == {"question", "answer"}


def test_imperfect_cadences_have_a_bass():
    exercise = next(sample("periods", keys=ALL_KEYS[:1], kinds="PAC IAC HC"))
    assert exercise.hand == "both"
    assert "PAC, IAC or HC" in exercise.task
    assert FAMILIES["periods"].skill(exercise.settings, "both").endswith("PAC IAC HC kinds")
