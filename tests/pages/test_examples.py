"""Worked examples in one line, with the most answers that it can show."""

import pytest

from workbook import design
from workbook.engraving import frame
from workbook.music.keys import parse_keys
from workbook.pages.columns import frames, frames_of, hand_of, most_columns
from workbook.pages.examples import with_short_examples
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

LETTER = Paper("letter")


def planned(level, paper, short=True, keys="C major; A minor"):
    template = read_template(available()[level])
    made = plan(Row("Ada", template, parse_keys(keys), template.title, None, 2), "")
    return with_short_examples(made, paper) if short else made


def examples(made, paper):
    """Each example with the columns after which its lines end."""
    size, most = hand_of(made, paper), most_columns(made, paper)
    for section in made.sections:
        if section.example and section.example.exercise.staves:
            one = section.example
            lines = frame.lines(one.exercise, frames_of(section, paper, size, most)[one.number])
            yield one.exercise, lines


def in_family(made, name, paper=LETTER):
    return next(one for one in examples(made, paper) if one[0].family == name)


@pytest.mark.parametrize("paper", [LETTER, Paper("a5"), Paper("letter", "extra-large")])
def test_note_values_and_steps_have_an_example_of_one_line(paper):
    for name in ("note-values", "interval-numbers"):
        _, before = in_family(planned("level-01", paper, short=False), name, paper)
        short, after = in_family(planned("level-01", paper), name, paper)
        assert before and not after
        assert short.staves[0].events[-1].after == "|."
        columns = {blank.column for blank in short.blanks}
        assert columns <= set(range(len(short.staves[0].events)))


def test_a_short_example_has_as_many_answers_as_a_line_can_show():
    whole, ends = in_family(planned("level-01", LETTER, short=False), "note-values")
    short, _ = in_family(planned("level-01", LETTER), "note-values")
    answers = [{blank.answer for blank in one.blanks} for one in (whole, short)]
    assert len(short.blanks) == ends[0] + 1 == 3
    assert len(answers[1]) == min(len(answers[0]), 3)
    told = {event.value for event in short.staves[0].events}
    assert len(told) == len(answers[1])


def test_music_that_belongs_together_is_not_shortened():
    for level in ("level-02", "level-03", "level-05"):
        before, after = (planned(level, Paper("a5"), short) for short in (False, True))
        for one, other in zip(before.sections, after.sections):
            if one.example and one.example.exercise.family in ("scale-fingering", "counting"):
                assert one.example == other.example


def test_an_example_is_as_wide_as_what_it_is_an_example_of():
    made = planned("level-01", LETTER)
    wide = dict(zip((item.number for item in made.drawn), frames(made, LETTER)))
    for section in made.sections:
        if section.example and section.example.exercise.family == "note-values":
            assert wide[section.example.number].width == wide[section.items[0].number].width


TWO_OCTAVES = """
title = "T"
hand = "grown"
[[section]]
family = "scale-fingering"
octaves = 2
hands = "both"
count = 1
points = 1
"""


@pytest.mark.parametrize("keys", ["C major", "C# major"])
@pytest.mark.parametrize(
    "paper",
    [
        *(Paper(name) for name in design.PAPERS),
        Paper("letter", "large"),
        Paper("a4", "large"),
        Paper("letter", "extra-large"),
    ],
    ids=str,
)
def test_two_octaves_for_both_hands_take_two_lines(tmp_path, paper, keys):
    """So that they keep to one page on any paper and in any size."""
    path = tmp_path / "t.toml"
    path.write_text(TWO_OCTAVES)
    template = read_template(path)
    made = plan(Row("Ada", template, parse_keys(keys), "T", None, 2), "")
    (item,) = made.items
    assert len(item.exercise.staves[0].events) == 29
    assert len(frame.lines(item.exercise, *frames(made, paper))) == 1
