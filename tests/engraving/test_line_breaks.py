"""Lines of music too long for the page: even, and nothing torn apart."""

from random import Random

import pytest
from asked import Request

from workbook import design
from workbook.engraving import line_breaks
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import Frame, lead, lines
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
    assert line_breaks.line_ends(make(family), lines) == ends


def test_a_box_is_never_alone_on_its_line():
    exercise = make("scale-matching", hand="right")  # eight notes and an empty column a scale
    assert line_breaks.parts(exercise) == 4
    assert line_breaks.line_ends(exercise, 8) == (3, 12, 21, 30)
    assert line_breaks.line_ends(exercise, 6) == line_breaks.line_ends(
        exercise, 8
    )  # each scale alike
    # four measures of two notes cannot stand on five lines
    assert line_breaks.line_ends(make("interval-building"), 5) == ()


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
