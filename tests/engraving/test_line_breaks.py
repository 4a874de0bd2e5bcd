"""Lines of music too long for the page: even, and nothing torn apart."""

from random import Random

import pytest
from asked import Request

from workbook import design
from workbook.engraving import line_breaks
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame, lead, lines, need
from workbook.engraving.score import score_source
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key
from workbook.pages.paper import Paper


def make(family, key="C# major", hand="both", **settings):
    kind = FAMILIES[family]
    return kind.make(Request(parse_key(key), hand, kind.asks, settings=settings), Random(1))


@pytest.mark.parametrize(
    "family, lines, ends",
    [
        ("note-names", 2, (3,)),  # eight measures of one note
        ("scale-writing", 2, (3,)),  # one measure of eight notes
        ("scale-fingering", 2, (7,)),  # 8 and 7 notes: at the bar line
        ("interval-building", 3, (1, 5)),  # four measures of two notes: 1, 2 and 1
        ("scale-degrees", 2, (1,)),
        ("common-tones", 2, (3,)),  # a chord and the box to the next stay together
        ("scale-steps", 2, (7,)),
    ],
)
def test_lines_are_of_about_one_length(family, lines, ends):
    exercise = make(family)
    (part,) = line_breaks.whole(exercise)
    assert line_breaks.line_ends(exercise, [part], [lines]) == ends


def test_a_box_is_never_alone_on_its_line():
    exercise = make("scale-matching", hand="right")  # eight notes and an empty column a scale
    parts = line_breaks.parts(exercise)
    assert len(parts) == 4
    ends = line_breaks.line_ends(exercise, parts, [2] * 4)
    assert ends == (3, 8, 12, 17, 21, 26, 30)  # each scale alike
    # four measures of two notes cannot stand on five lines
    building = make("interval-building")
    assert line_breaks.line_ends(building, line_breaks.whole(building), [5]) == ()


@pytest.mark.parametrize("family", ["interval-building", "cadences", "half-steps"])
def test_pairs_of_notes_stay_together_in_large_print(family):
    exercise = make(family, hand="right")
    for size in ("large", "extra-large"):
        space = design.HANDS[design.DEFAULT_HAND].space
        frame = Frame(Paper("letter", size).measure / space / 2.5, lead([exercise]))
        (snippet,) = engrave([exercise], frames=[frame])
        events, ends = exercise.staves[0].events, lines(exercise, frame)
        assert 1 < len(snippet.lines) == len(ends) + 1
        assert all(events[end].after for end in ends)
        kind = {"interval-building": "notes", "cadences": "numeral", "half-steps": "count"}[family]
        on = {}
        for slot, (_, low, _, high) in snippet.slots.items():
            if slot.asks == kind:
                line = next(
                    i
                    for i, (foot, top) in enumerate(snippet.lines)
                    if foot <= (low + high) / 2 <= top
                )
                on[slot.column] = line
        assert {column: sum(column > end for end in ends) for column in on} == on


@pytest.mark.parametrize("family", ["bar-completion", "beaming", "periods", "time-signatures"])
def test_no_line_ends_within_a_beam(family):
    """On any paper; and most lines end with a bar."""
    kind, bars, count = FAMILIES[family], 0, 0
    for seed in range(12):
        request = Request(parse_key("C major"), "right", kind.asks)
        exercise = kind.make(request, Random(seed))
        for paper in (Paper("a5"), Paper("letter", "large"), Paper("letter", "extra-large")):
            frame = Frame(paper.measure / design.HANDS["middle"].space, lead([exercise]))
            events = exercise.staves[0].events
            for end in lines(exercise, frame):
                before = [event.beam for event in events[: end + 1]]
                assert before.count("[") == before.count("]"), (family, seed, end)
                bars, count = bars + bool(events[end].after), count + 1
    assert count and bars > 0.9 * count


RIGHT = 8.5  # a lead, in staff spaces


def ends(exercise, columns, size="middle"):
    """The line ends of an exercise where a line has room for so many of its columns."""
    pitch = need(exercise, size).pitch
    return lines(exercise, Frame(RIGHT + (columns + 0.3) * pitch, RIGHT, size))


@pytest.mark.parametrize(
    "octaves, hand, columns, expected",
    [
        (2, "right", 15, (14,)),  # up and down
        (2, "right", 14, (6, 14, 21)),  # an octave on each line
        (3, "right", 15, (14, 28)),  # as the run asks for
        (3, "right", 14, (10, 21, 31)),  # it turns at 21
        (4, "right", 14, (9, 18, 28, 37, 47)),  # at 28
        (4, "both", 14, (6, 14, 21)),  # one way only
    ],
)
def test_each_way_of_a_run_has_lines_of_its_own(octaves, hand, columns, expected):
    exercise = make("scale-fingering", "C major", hand, octaves=octaves)
    assert ends(exercise, columns) == expected


def test_a_run_for_both_hands_on_small_paper_has_few_lines():
    """Four of them, with their heading, would not fit on a punched page."""
    exercise = make("scale-fingering", "C major", octaves=2)
    assert ends(exercise, 14, "grown, small") == (9, 18)
    assert ends(exercise, 14, "grown") == (6, 14, 21)
    assert ends(exercise, 15, "grown, small") == (14,)


def test_a_short_part_is_not_broken_because_a_long_one_is():
    exercise = make("chord-tones", "B minor", "right")
    first, second = (last - start + 1 for start, last in line_breaks.parts(exercise))
    assert (first, second) == (8, 5)
    assert ends(exercise, 8) == (7,) and ends(exercise, 5) == (3, 7)


def test_only_a_run_that_turns_has_a_breath():
    def breaths(hand, **settings):
        return score_source(make("scale-fingering", "C major", hand, **settings)).count("breathe")

    assert breaths("right", octaves=4) == 1 and breaths("both", octaves=2) == 2
    assert breaths("both", octaves=4) == 0  # up only, or down
